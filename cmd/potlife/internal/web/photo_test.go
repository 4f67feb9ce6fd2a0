package web

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// picture is red on the left and blue on the right, twice as wide as high.
func picture(w int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, w/2))
	for y := range w / 2 {
		for x := range w {
			c := color.RGBA{220, 20, 20, 255}
			if x >= w/2 {
				c = color.RGBA{20, 20, 220, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

// withExif is a JPEG file with a way up, and a place written in it as phones do.
func withExif(t *testing.T, img image.Image, up uint16, order binary.ByteOrder) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	mark := "II*\x00"
	if order == binary.BigEndian {
		mark = "MM\x00*"
	}
	tiff := []byte(mark)
	tiff = order.(binary.AppendByteOrder).AppendUint32(tiff, 8)
	tiff = order.(binary.AppendByteOrder).AppendUint16(tiff, 1)
	tiff = order.(binary.AppendByteOrder).AppendUint16(tiff, 0x0112)
	tiff = order.(binary.AppendByteOrder).AppendUint16(tiff, 3)
	tiff = order.(binary.AppendByteOrder).AppendUint32(tiff, 1)
	tiff = order.(binary.AppendByteOrder).AppendUint16(tiff, up)
	tiff = append(tiff, 0, 0)
	seg := append([]byte("Exif\x00\x00"), tiff...)
	seg = append(seg, "GPS 51.4779 N 0.0015 W"...)
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(seg)+2))...)
	return append(append(out, seg...), b.Bytes()[2:]...)
}

func TestPhotosAreMadeAnew(t *testing.T) {
	red := func(c color.Color) bool { r, _, b, _ := c.RGBA(); return r > 0x8000 && b < 0x6000 }
	for name, c := range map[string]struct {
		up         uint16
		w, h       int
		x, y, x2   int // a red place, and one that must be blue
		y2         int
		order      binary.ByteOrder
		sourceWide int
	}{
		"as it is":        {1, 400, 200, 10, 100, 390, 100, binary.LittleEndian, 400},
		"upside down":     {3, 400, 200, 390, 100, 10, 100, binary.BigEndian, 400},
		"a quarter right": {6, 200, 400, 100, 10, 100, 390, binary.BigEndian, 400},
		"a quarter left":  {8, 200, 400, 100, 390, 100, 10, binary.LittleEndian, 400},
		"large":           {1, 1600, 800, 10, 400, 1590, 400, binary.LittleEndian, 2400},
		"nonsense":        {77, 400, 200, 10, 100, 390, 100, binary.LittleEndian, 400},
	} {
		in := withExif(t, picture(c.sourceWide), c.up, c.order)
		p, err := readPhoto(in)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		img, kind, err := image.Decode(bytes.NewReader(p.Body))
		if err != nil || kind != "jpeg" || p.Type != "image/jpeg" {
			t.Fatalf("%s: %v, %s", name, err, kind)
		}
		if b := img.Bounds(); b.Dx() != c.w || b.Dy() != c.h {
			t.Errorf("%s: %v, want %d × %d", name, b, c.w, c.h)
		} else if !red(img.At(c.x, c.y)) || red(img.At(c.x2, c.y2)) {
			t.Errorf("%s: red and blue lie wrong", name)
		}
		if bytes.Contains(p.Body, []byte("GPS")) || bytes.Contains(p.Body, []byte("Exif")) {
			t.Errorf("%s: the place it was taken is still in it", name)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, picture(100)); err != nil {
		t.Fatal(err)
	}
	if p, err := readPhoto(b.Bytes()); err != nil || p.Type != "image/jpeg" {
		t.Errorf("PNG: %v", err)
	}
}

func TestWhatIsNoPhotoIsRefused(t *testing.T) {
	whole := withExif(t, picture(200), 1, binary.LittleEndian)
	huge := bytes.Clone(whole)
	at := bytes.Index(huge, []byte{0xff, 0xc0})
	copy(huge[at+5:], []byte{0xff, 0xff, 0xff, 0xff}) // says it is 65 535 pixels each way
	for name, c := range map[string]struct {
		body []byte
		says string
	}{
		"words":        {[]byte("GIF? no"), "no picture"},
		"a page":       {[]byte("<svg onload=alert(1)>"), "no picture"},
		"nothing":      {nil, "no picture"},
		"cut short":    {whole[:len(whole)/2], "damaged"},
		"a bomb":       {huge, "too large"},
		"a whole film": {make([]byte, mostPhotoIn+1), "MB"},
	} {
		_, err := readPhoto(c.body)
		var known *Error
		if !errors.As(err, &known) || known.Kind != Invalid || known.Field != "photos" || !strings.Contains(known.Text, c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
}

func FuzzWayUp(f *testing.F) {
	f.Add([]byte{0xff, 0xd8, 0xff, 0xe1, 0, 20, 'E', 'x', 'i', 'f', 0, 0, 'I', 'I', '*', 0, 8, 0, 0, 0, 1, 0, 0x12, 1})
	f.Fuzz(func(t *testing.T, b []byte) {
		if n := wayUp(b); n < 1 || n > 8 {
			t.Errorf("way up %d", n)
		}
	})
}
