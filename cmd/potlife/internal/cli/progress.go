package cli

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"
)

// progress writes a line to w when something takes longer than a second, and
// renews it on a terminal. The returned function ends it.
func progress(w io.Writer, doing string) (done func()) {
	stop, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(time.Second)
		defer tick.Stop()
		terminal := isTerminal(w)
		for seconds := 1; ; seconds++ {
			select {
			case <-stop:
				if terminal && seconds > 1 {
					fmt.Fprint(w, "\r\x1b[K")
				}
				return
			case <-tick.C:
				if terminal {
					fmt.Fprintf(w, "\r%s … %d s", doing, seconds)
				} else if seconds == 1 || seconds%30 == 0 {
					fmt.Fprintf(w, "%s … %d s\n", doing, seconds)
				}
			}
		}
	}()
	var once sync.Once
	return func() {
		once.Do(func() { close(stop) })
		<-ended
	}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
