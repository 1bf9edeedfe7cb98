package excel

import (
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"testing"
)

// What is compressed in blocks is one stream that the standard library reads,
// whatever the lengths, and the same bytes with one processor as with many.
func TestDeflaterGivesOneStream(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	text := func(n int) []byte {
		b := make([]byte, 0, n+40)
		for len(b) < n {
			b = fmt.Appendf(b, `<c r="A%d" s="3"><v>%d</v></c>`, len(b), random.IntN(1000))
		}
		return b[:n]
	}
	deflated := func(data []byte, processors int) []byte {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		var out bytes.Buffer
		d := newDeflater(&out)
		for rest := data; len(rest) > 0; {
			n := min(len(rest), 1+random.IntN(100_000))
			d.Write(rest[:n])
			rest = rest[n:]
		}
		if err := d.Close(); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	for _, n := range []int{0, 1, 1000, blockSize - 1, blockSize, blockSize + 1, 2 * blockSize, 5*blockSize + 12345} {
		data := text(n)
		one := deflated(data, 1)
		if !bytes.Equal(one, deflated(data, 4)) {
			t.Errorf("%d bytes: four processors give another stream than one", n)
		}
		back, err := io.ReadAll(flate.NewReader(bytes.NewReader(one)))
		if err != nil || !bytes.Equal(back, data) {
			t.Errorf("%d bytes: %d come back, error %v", n, len(back), err)
		}
	}
	// A block may refer to the one before it: text that repeats at a distance
	// costs next to nothing across the border too.
	noise := make([]byte, windowSize/2)
	for i := range noise {
		noise[i] = byte(random.Uint32())
	}
	data := append(bytes.Repeat([]byte{'x'}, blockSize-len(noise)), append(noise, noise...)...)
	if n := len(deflated(data, 2)); n > len(noise)*3/2 {
		t.Errorf("%d bytes for %d of noise twice: a block does not know the one before", n, len(noise))
	}
}

func TestDeflaterTellsItsError(t *testing.T) {
	d := newDeflater(&fullDisk{150_000})
	noise := make([]byte, 3*blockSize)
	for i, r := 0, rand.New(rand.NewPCG(3, 4)); i < len(noise); i++ {
		noise[i] = byte(r.Uint32())
	}
	if _, err := d.Write(noise); err != nil {
		t.Fatal(err)
	}
	if err := d.Close(); err == nil {
		t.Error("an error of the target was swallowed")
	}
	before := runtime.NumGoroutine()
	for range 20 {
		d := newDeflater(io.Discard)
		d.Write(noise)
		d.abandon()
	}
	for range 1000 {
		if runtime.NumGoroutine() <= before+2 {
			return
		}
		runtime.Gosched()
	}
	t.Errorf("%d goroutines, %d before: abandoned parts go on", runtime.NumGoroutine(), before)
}
