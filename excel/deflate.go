package excel

import (
	"bytes"
	"io"
	"runtime"
	"sync"

	"github.com/klauspost/compress/flate"
)

// deflater compresses a part in blocks, several at a time: each block is a
// piece of the same deflate stream and knows the text before it, so the result
// is one stream that any reader takes, and the same whatever machine made it.
// Rows are made while earlier ones are compressed.
type deflater struct {
	w      io.Writer
	block  []byte
	before []byte // the end of the block before, which the next one may refer to
	queue  chan chan packed
	done   chan error
	closed bool
}

// packed is a block compressed.
type packed struct {
	data *bytes.Buffer
	err  error
}

const (
	blockSize    = 256 << 10
	windowSize   = 32 << 10 // how far back deflate refers (RFC 1951, 2)
	deflateLevel = 7
)

// Compressors and buffers are used again, by all parts and all workbooks.
var (
	compressors = sync.Pool{New: func() any {
		w, _ := flate.NewWriter(io.Discard, deflateLevel) // errs only on a level that there is not
		return w
	}}
	blocks  = sync.Pool{New: func() any { b := make([]byte, 0, blockSize); return &b }}
	outputs = sync.Pool{New: func() any { return &bytes.Buffer{} }}
)

func newDeflater(w io.Writer) *deflater {
	return &deflater{w: w, block: (*blocks.Get().(*[]byte))[:0]}
}

// Write takes a copy of p. An error of the target may come only from Close.
func (d *deflater) Write(p []byte) (int, error) {
	n := len(p)
	for len(p) > 0 {
		k := min(len(p), blockSize-len(d.block))
		d.block, p = append(d.block, p[:k]...), p[k:]
		if len(d.block) == blockSize && len(p) > 0 {
			d.send(false)
		}
	}
	return n, nil
}

// send hands the block on to be compressed. At most so many are under way as
// there are processors, and one more waits.
func (d *deflater) send(last bool) {
	if d.queue == nil {
		d.queue, d.done = make(chan chan packed, runtime.GOMAXPROCS(0)), make(chan error, 1)
		go d.collect()
	}
	full, before := d.block, d.before
	if !last {
		d.before = bytes.Clone(full[len(full)-windowSize:])
		d.block = (*blocks.Get().(*[]byte))[:0]
	}
	answer := make(chan packed, 1)
	d.queue <- answer
	go func() {
		out := outputs.Get().(*bytes.Buffer)
		out.Reset()
		err := compress(out, full, before, last)
		blocks.Put(&full)
		answer <- packed{out, err}
	}()
}

// compress writes one block; all but the last end on a byte.
func compress(out io.Writer, block, before []byte, last bool) error {
	w := compressors.Get().(*flate.Writer)
	defer compressors.Put(w)
	w.ResetDict(out, before)
	if _, err := w.Write(block); err != nil {
		return err
	}
	if last {
		return w.Close()
	}
	return w.Flush()
}

// collect writes the blocks in their order.
func (d *deflater) collect() {
	var failed error
	for answer := range d.queue {
		p := <-answer
		if failed == nil {
			failed = p.err
		}
		if failed == nil {
			_, failed = d.w.Write(p.data.Bytes())
		}
		outputs.Put(p.data)
	}
	d.done <- failed
}

// Close compresses the rest and waits until everything is written.
func (d *deflater) Close() error {
	d.closed = true
	if d.queue == nil { // one block: no company needed
		err := compress(d.w, d.block, nil, true)
		blocks.Put(&d.block)
		return err
	}
	d.send(true)
	close(d.queue)
	return <-d.done
}

// abandon ends what is under way where the part will not be finished.
func (d *deflater) abandon() {
	if d == nil || d.closed || d.queue == nil {
		return
	}
	close(d.queue)
	<-d.done
}
