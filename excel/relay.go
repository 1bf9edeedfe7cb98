package excel

import "io"

// relay hands what is written to it over to a second goroutine, which writes
// it on: rows are made while earlier ones are compressed. The order of the
// bytes is that of the writes, so the result is the same as without it.
type relay struct {
	full chan []byte
	free chan []byte
	done chan error
}

func newRelay(w io.Writer) *relay {
	r := &relay{full: make(chan []byte, 1), free: make(chan []byte, 3), done: make(chan error, 1)}
	for range cap(r.free) {
		r.free <- make([]byte, 0, rowBuffer+rowBuffer/4)
	}
	go func() {
		var err error
		for b := range r.full {
			if err == nil {
				_, err = w.Write(b)
			}
			r.free <- b[:0]
		}
		r.done <- err
	}()
	return r
}

// Write takes a copy of b. An error of the target comes from Close.
func (r *relay) Write(b []byte) (int, error) {
	r.full <- append(<-r.free, b...)
	return len(b), nil
}

// Close waits until everything is written on.
func (r *relay) Close() error {
	close(r.full)
	return <-r.done
}
