package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// owner is the user the server runs as. PostgreSQL refuses to run as root, so
// root drops to the user who owns the cluster, or to postgres for a new one.
type owner struct {
	uid, gid int
	name     string
	drop     bool // the process is root and has to change user
}

// AccessError says that the server's user cannot enter a parent directory.
type AccessError struct {
	Path, User string
	Mode       fs.FileMode
}

func (e *AccessError) Error() string {
	return fmt.Sprintf("PostgreSQL does not run as root, so the server runs as user %q, and that user cannot enter %s (mode %04o). "+
		"Allow it with `chmod o+x %s`, or choose a data directory elsewhere, such as /var/lib/potlife",
		e.User, e.Path, e.Mode.Perm(), e.Path)
}

func ownerFor(dir, data string) (owner, error) {
	me := os.Geteuid()
	if info, err := os.Stat(data); err == nil {
		st := info.Sys().(*syscall.Stat_t)
		o := owner{uid: int(st.Uid), gid: int(st.Gid), drop: me == 0}
		o.name = userName(o.uid)
		switch {
		case me != 0 && o.uid != me:
			return o, fmt.Errorf("the cluster belongs to user %q and this process runs as %q; run it as %q or as root",
				o.name, userName(me), o.name)
		case o.uid == 0:
			return o, fmt.Errorf("%s belongs to root, and PostgreSQL does not run as root; give it to user postgres", data)
		}
		return o, o.canReach(dir)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return owner{}, err
	}
	if me != 0 {
		return owner{uid: me, gid: os.Getegid(), name: userName(me)}, nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		return owner{}, errors.New("this process runs as root, PostgreSQL does not, and there is no user \"postgres\" to run it as; " +
			"install the system's PostgreSQL package, which makes one, or run as an ordinary user")
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	o := owner{uid: uid, gid: gid, name: u.Username, drop: true}
	return o, o.canReach(dir)
}

func userName(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return "uid " + strconv.Itoa(uid)
}

// canReach checks that the owner may enter every existing parent of dir.
func (o owner) canReach(dir string) error {
	if !o.drop {
		return nil
	}
	for p := filepath.Dir(dir); ; p = filepath.Dir(p) {
		info, err := os.Stat(p)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if err == nil && !o.mayEnter(info) {
			return &AccessError{Path: p, User: o.name, Mode: info.Mode()}
		}
		if p == filepath.Dir(p) {
			return nil
		}
	}
}

func (o owner) mayEnter(info fs.FileInfo) bool {
	st := info.Sys().(*syscall.Stat_t)
	switch mode := info.Mode().Perm(); {
	case int(st.Uid) == o.uid:
		return mode&0o100 != 0
	case int(st.Gid) == o.gid:
		return mode&0o010 != 0
	default:
		return mode&0o001 != 0
	}
}

// makeDir makes dir (0700, the owner's) and its missing parents (0755: others
// must be able to pass).
func (o owner) makeDir(dir string) error {
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return err
	}
	if o.drop {
		return os.Chown(dir, o.uid, o.gid)
	}
	return nil
}

// touch makes a file (0600) that the owner may use even where root made it.
func (o owner) touch(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	defer f.Close()
	if o.drop {
		return f.Chown(o.uid, o.gid)
	}
	return nil
}

// attributes of a process that runs as the owner, in a process group of its
// own so that Ctrl-C on the terminal reaches this program first.
func (o owner) attributes() *syscall.SysProcAttr {
	a := &syscall.SysProcAttr{Setpgid: true}
	if o.drop {
		a.Credential = &syscall.Credential{Uid: uint32(o.uid), Gid: uint32(o.gid)}
	}
	return a
}
