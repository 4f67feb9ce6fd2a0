package deliver

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"sync"
	"testing"
	"time"
)

// receiver takes webhooks on a bare line. It answers each as the next of answers
// says, and cuts the line after it; it keeps what reached it whole.
type receiver struct {
	mu      sync.Mutex
	answers []answer
	got     []*http.Request
	bodies  [][]byte
}

type answer struct {
	// read is how much of a request is read before the answer: nothing, half of the
	// body, or all.
	read string
	say  string
	// hang keeps the line open without another word.
	hang bool
}

func (r *receiver) start(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	over := make(chan struct{})
	t.Cleanup(func() { close(over); l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go r.answer(c, over)
		}
	}()
	return "http://" + l.Addr().String()
}

func (r *receiver) answer(c net.Conn, over chan struct{}) {
	defer c.Close()
	r.mu.Lock()
	a := answer{read: "all", say: "HTTP/1.1 204 No Content\r\n\r\n"}
	if len(r.answers) > 0 {
		a, r.answers = r.answers[0], r.answers[1:]
	}
	r.mu.Unlock()
	if a.read != "nothing" {
		req, err := http.ReadRequest(bufio.NewReader(c))
		if err != nil {
			return
		}
		n := req.ContentLength
		if a.read == "half" {
			n /= 2
		}
		body, err := io.ReadAll(io.LimitReader(req.Body, n))
		if err != nil {
			return
		}
		if a.read == "all" {
			r.mu.Lock()
			r.got, r.bodies = append(r.got, req), append(r.bodies, body)
			r.mu.Unlock()
		}
	}
	_, _ = io.WriteString(c, a.say)
	if a.hang {
		<-over
	}
}

// long is a body that does not fit into what a kernel takes before it is read.
var long = bytes.Repeat([]byte("tile "), 4<<20)

// A line that breaks when the receiver may have got the message leaves its
// outcome unknown; a status that says no is believed however its answer ends.
func TestWebhookCut(t *testing.T) {
	const head = "HTTP/1.1 200 OK\r\nContent-Length: 20\r\n\r\n"
	for name, c := range map[string]struct {
		answer
		permanent, unknown bool
	}{
		"before a word of the request":    {answer{read: "nothing"}, false, true},
		"in the middle of the request":    {answer{read: "half"}, false, true},
		"before a word of the answer":     {answer{read: "all"}, false, true},
		"in the status":                   {answer{read: "all", say: "HTTP/1.1 20"}, false, true},
		"in the header":                   {answer{read: "all", say: "HTTP/1.1 200 OK\r\nContent-Le"}, false, true},
		"after the header of a long yes":  {answer{read: "all", say: head}, false, true},
		"in the middle of a yes":          {answer{read: "all", say: head + "we have"}, false, true},
		"in the middle of a chunk":        {answer{read: "all", say: "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n14\r\nwe have"}, false, true},
		"hanging in the middle of a yes":  {answer{read: "all", say: head + "we have", hang: true}, false, true},
		"in the middle of a no":           {answer{read: "all", say: "HTTP/1.1 404 Not Found\r\nContent-Length: 20\r\n\r\nno such"}, true, false},
		"in the middle of a later please": {answer{read: "all", say: "HTTP/1.1 429 Too Many Requests\r\nContent-Length: 20\r\n\r\nlat"}, false, false},
		"what is no answer at all":        {answer{read: "all", say: "220 smtp.example ready\r\n"}, false, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := &receiver{answers: []answer{c.answer}}
			s, err := NewWebhook(WebhookOptions{URL: r.start(t), Timeout: 500 * time.Millisecond})
			if err != nil {
				t.Fatal(err)
			}
			body := []byte(`{"sheet":1}`)
			if c.read == "half" {
				body = long
			}
			m := Message{ID: "k-7", Body: body, Created: time.Unix(1_790_000_000, 0)}
			var f *Failure
			if err := s.Send(context.Background(), m); !errors.As(err, &f) {
				t.Fatalf("got %v, expected a failure", err)
			}
			if f.Permanent != c.permanent || f.Unknown != c.unknown {
				t.Errorf("permanent %v unknown %v: %v", f.Permanent, f.Unknown, f)
			}
			if !f.Unknown {
				return
			}
			// The repeat arrives under the same key, so that the receiver can tell.
			again := &receiver{}
			s.o.URL = again.start(t)
			m.Body = []byte(`{"sheet":1}`)
			s.client.Timeout = 5 * time.Second
			if err := s.Send(context.Background(), m); err != nil {
				t.Fatal(err)
			}
			all := append(append([]*http.Request{}, r.got...), again.got...)
			for _, req := range all {
				if req.Header.Get("Idempotency-Key") != "k-7" {
					t.Errorf("the key is %q", req.Header.Get("Idempotency-Key"))
				}
			}
			if len(again.got) != 1 || c.read == "all" && len(all) != 2 {
				t.Errorf("%d requests arrived whole", len(all))
			}
		})
	}
}

// Where no line comes about nothing can have arrived, and nobody says it may.
func TestWebhookRefused(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := l.Addr().String()
	l.Close()
	plain := &receiver{}
	for name, url := range map[string]string{"nobody listens": "http://" + at, "no TLS on the other side": "https" + plain.start(t)[len("http"):]} {
		s, err := NewWebhook(WebhookOptions{URL: url, Timeout: 2 * time.Second})
		if err != nil {
			t.Fatal(err)
		}
		var f *Failure
		if err := s.Send(context.Background(), Message{ID: "k"}); !errors.As(err, &f) || f.Unknown || f.Permanent {
			t.Errorf("%s: %v; expected a failure known for one that may pass", name, err)
		}
	}
}
