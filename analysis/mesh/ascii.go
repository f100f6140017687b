package mesh

import "context"

// blank marks the characters that separate words.
var blank = [256]bool{' ': true, '\t': true, '\r': true, '\n': true, '\v': true, '\f': true}

func loadASCIISTL(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	return nil, nil
}
