package mesh

import "context"

// Weld makes of m what Load makes of a file that holds its triangles. m is no
// longer the caller's.
func Weld(ctx context.Context, m *Mesh) error {
	_, err := finish(ctx, m, FormatOBJ)
	return err
}
