package web

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // screenshots and drawings
)

// Limits of photos.
const (
	mostPhotos    = 4
	mostPhotoSide = 1600     // pixels of a photo as kept
	mostPhotoIn   = 12 << 20 // bytes of a photo as sent
	mostPixels    = 60 << 20 // of a photo as sent: what decoding may hold in memory
	photoQuality  = 80
)

// readPhoto decodes a picture and makes it anew: what is kept is a picture and
// nothing else, so neither the place and time that phones write into their files
// nor anything hidden in them is kept. The way up that the file asks for is
// applied.
func readPhoto(body []byte) (Photo, error) {
	bad := func(format string, args ...any) error {
		return &Error{Kind: Invalid, Field: "photos", Text: fmt.Sprintf(format, args...)}
	}
	if len(body) > mostPhotoIn {
		return Photo{}, bad("A photo is %d MB; send one of at most %d MB.", len(body)>>20, mostPhotoIn>>20)
	}
	cfg, kind, err := image.DecodeConfig(bytes.NewReader(body))
	if err != nil {
		return Photo{}, bad("A file is no picture that can be read here; send JPEG or PNG.")
	}
	if cfg.Width <= 0 || cfg.Height <= 0 || cfg.Width > mostPixels/cfg.Height {
		return Photo{}, bad("A photo of %d × %d pixels is too large; send a smaller one.", cfg.Width, cfg.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(body))
	if err != nil {
		return Photo{}, bad("A photo is damaged; take it again.")
	}
	up := 1
	if kind == "jpeg" {
		up = wayUp(body)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, turned(smaller(img, mostPhotoSide), up), &jpeg.Options{Quality: photoQuality}); err != nil {
		return Photo{}, fmt.Errorf("write a photo: %w", err)
	}
	return Photo{Type: "image/jpeg", Body: out.Bytes()}, nil
}

// smaller scales a picture down so that no side is longer than most; each new
// pixel is the mean of those it covers. Transparent parts become white.
func smaller(img image.Image, most int) *image.RGBA {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > most {
		w, h = max(1, w*most/long), max(1, h*most/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		y0, y1 := b.Min.Y+y*b.Dy()/h, b.Min.Y+max((y+1)*b.Dy()/h, y*b.Dy()/h+1)
		for x := range w {
			x0, x1 := b.Min.X+x*b.Dx()/w, b.Min.X+max((x+1)*b.Dx()/w, x*b.Dx()/w+1)
			out.SetRGBA(x, y, mean(img, x0, y0, x1, y1))
		}
	}
	return out
}

func mean(img image.Image, x0, y0, x1, y1 int) color.RGBA {
	var r, g, b, n uint32
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			cr, cg, cb, ca := img.At(x, y).RGBA()
			white := 0xffff - ca
			r, g, b, n = r+(cr+white)>>8, g+(cg+white)>>8, b+(cb+white)>>8, n+1
		}
	}
	return color.RGBA{uint8(r / n), uint8(g / n), uint8(b / n), 255}
}

// turned puts a picture the way up that its file asks for: 1 as it is, 2 to 8 the
// other turns and mirrors of the Exif standard (CIPA DC-008, tag Orientation).
func turned(img *image.RGBA, up int) image.Image {
	if up < 2 || up > 8 {
		return img
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if up >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			X, Y := x, y
			switch up {
			case 2:
				X = w - 1 - x
			case 3:
				X, Y = w-1-x, h-1-y
			case 4:
				Y = h - 1 - y
			case 5:
				X, Y = y, x
			case 6:
				X, Y = h-1-y, x
			case 7:
				X, Y = h-1-y, w-1-x
			case 8:
				X, Y = y, w-1-x
			}
			out.SetRGBA(X, Y, img.RGBAAt(x, y))
		}
	}
	return out
}

// wayUp reads the orientation out of a JPEG file's Exif segment, 1 where it says
// nothing that makes sense.
func wayUp(b []byte) int {
	for i := 2; i+4 <= len(b) && b[i] == 0xff; {
		marker, size := b[i+1], int(binary.BigEndian.Uint16(b[i+2:]))
		if marker == 0xda || size < 2 || i+2+size > len(b) {
			break
		}
		if seg := b[i+4 : i+2+size]; marker == 0xe1 && bytes.HasPrefix(seg, []byte("Exif\x00\x00")) {
			return orientation(seg[6:])
		}
		i += 2 + size
	}
	return 1
}

// orientation looks through the first directory of a TIFF structure.
func orientation(t []byte) int {
	if len(t) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.LittleEndian
	if t[0] == 'M' {
		order = binary.BigEndian
	}
	at := int64(order.Uint32(t[4:]))
	if at+2 > int64(len(t)) {
		return 1
	}
	n := int64(order.Uint16(t[at:]))
	for k := range n {
		e := at + 2 + 12*k
		if e+12 > int64(len(t)) {
			return 1
		}
		if order.Uint16(t[e:]) == 0x0112 {
			if v := int(order.Uint16(t[e+8:])); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 1
}
