package picture

import (
	"bytes"
	"compress/flate"
	"image"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is packed comes back by the reader of the standard library, byte by byte,
// whatever it is: noise, runs of any length, rows like the one above but for some.
func TestPackedRowsComeBack(t *testing.T) {
	const seed = 20261206
	random := rand.New(rand.NewPCG(seed, 6))
	for round := range 400 {
		wide, high := 2+random.IntN([]int{3, 40, 1200}[round%3]), 1+random.IntN(30)
		inks := 1 + random.IntN([]int{2, 20, 256}[random.IntN(3)])
		rows := make([]byte, 0, wide*high)
		for len(rows) < wide*high {
			run := min(wide*high-len(rows), 1+random.IntN([]int{3, 30, 3000}[random.IntN(3)]))
			switch kind := random.IntN(3); {
			case kind == 0:
				for range run {
					rows = append(rows, byte(random.IntN(inks)))
				}
			case kind == 1 && len(rows) >= wide:
				for range run {
					rows = append(rows, rows[len(rows)-wide])
				}
			default:
				rows = append(rows, bytes.Repeat([]byte{byte(random.IntN(inks))}, run)...)
			}
		}
		packed := deflated([]byte("before"), rows, wide)
		packed, ok := bytes.CutPrefix(packed, []byte("before"))
		require.True(t, ok)
		rest := bytes.NewReader(packed)
		got, err := io.ReadAll(flate.NewReader(rest))
		require.NoError(t, err, "seed %d, round %d: %d × %d bytes", seed, round, wide, high)
		if !bytes.Equal(got, rows) {
			t.Fatalf("seed %d, round %d: %d × %d bytes come back as others", seed, round, wide, high)
		}
		if rest.Len() > 0 {
			t.Fatalf("seed %d, round %d: %d bytes are left", seed, round, rest.Len())
		}
	}
}

// Every length of a repetition, and every distance to the row above that a picture of up
// to 4,000 pixels has, is read as it was meant.
func TestEachRepetitionIsRead(t *testing.T) {
	check := func(rows []byte, wide int) {
		t.Helper()
		got, err := io.ReadAll(flate.NewReader(bytes.NewReader(deflated(nil, rows, wide))))
		if err != nil || !bytes.Equal(got, rows) {
			t.Fatalf("%d bytes in rows of %d come back as %d others: %v", len(rows), wide, len(got), err)
		}
	}
	for n := 1; n <= 2*mostRepeated+3; n++ {
		check(append(bytes.Repeat([]byte{7}, n), 8), n+1)
	}
	random := rand.New(rand.NewPCG(20261207, 7))
	noise := make([]byte, 4001)
	for i := range noise {
		noise[i] = byte(random.Uint32())
	}
	for wide := 2; wide <= len(noise); wide += 1 + wide/50 {
		check(append(noise[:wide:wide], noise[:wide]...), wide)
	}
}

// Codes take all of the room there is and no more, are none longer than may be, and on
// the mean at most a bit longer than the least that is possible, for shares of any kind.
func TestCodesTakeAllTheRoom(t *testing.T) {
	const seed = 20261208
	random := rand.New(rand.NewPCG(seed, 8))
	kinds := map[string]func(i int) int{
		"alike":     func(int) int { return 9 },
		"two":       func(i int) int { return max(0, 2-i) },
		"doubling":  func(i int) int { return 1 << min(i, 40) },
		"halves":    func(i int) int { return max(1, 1<<20>>i) }, // exact ones, and many rare symbols that are too much
		"fibonacci": func(i int) int { return int(math.Pow(1.618, float64(min(i, 80)))) },
		"random":    func(int) int { return int(math.Exp(20*random.Float64())) * random.IntN(2) },
	}
	for name, kind := range kinds {
		counts, total := make([]int, symbols), 0
		for i := range counts {
			counts[i] = kind(i)
			total += counts[i]
		}
		room, mean, least := 0.0, 0.0, 0.0
		for s, n := range codeLengths(counts) {
			if (n > 0) != (counts[s] > 0) || n > longest {
				t.Fatalf("%s (seed %d): a symbol that occurs %d times has %d bits", name, seed, counts[s], n)
			}
			if n == 0 {
				continue
			}
			share := float64(counts[s]) / float64(total)
			room, mean, least = room+math.Exp2(float64(-n)), mean+share*float64(n), least-share*math.Log2(share)
		}
		if room != 1 {
			t.Errorf("%s (seed %d): codes take %g of the room", name, seed, room)
		}
		if mean > least+1 {
			t.Errorf("%s (seed %d): a code has %.2f bits on the mean, %.2f are possible", name, seed, mean, least)
		}
	}
}

func TestNoPixelsAreNoPicture(t *testing.T) {
	_, err := PNG(image.NewRGBA(image.Rect(0, 0, 0, 9)))
	require.Error(t, err)
}
