package deliver

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// FolderSender puts each file of a message into a folder.
type FolderSender struct{ dir string }

// NewFolder makes the folder where it is missing.
func NewFolder(dir string) (*FolderSender, error) {
	if err := os.MkdirAll(dir, 0o750); err != nil {
		return nil, fmt.Errorf("folder %s: %w", dir, err)
	}
	return &FolderSender{dir}, nil
}

// Send writes every file beside its final name and renames it, so that a
// reader sees a whole file or none. A file that stands there already with the
// same content is left alone, which makes a repeat harmless.
func (s *FolderSender) Send(ctx context.Context, m Message) error {
	for _, f := range m.Files {
		if err := ctx.Err(); err != nil {
			return &Failure{Err: err}
		}
		if f.Name == "" || f.Name != filepath.Base(f.Name) || strings.HasPrefix(f.Name, ".") {
			return &Failure{Permanent: true, Err: fmt.Errorf("%q is no file name", f.Name)}
		}
		if err := s.put(f); err != nil {
			return &Failure{Err: err}
		}
	}
	return nil
}

func (s *FolderSender) put(f File) error {
	path := filepath.Join(s.dir, f.Name)
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, f.Data) {
		return nil
	}
	tmp, err := os.CreateTemp(s.dir, ".part-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	if _, err := tmp.Write(f.Data); err != nil {
		tmp.Close()
		return err
	}
	if err := tmp.Chmod(0o640); err != nil {
		tmp.Close()
		return err
	}
	if err := tmp.Sync(); err != nil {
		tmp.Close()
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
