package mesh

import (
	"bytes"
	"encoding/binary"
)

// kind is what a source holds, as far as its first bytes and size tell.
type kind int

const (
	kindUnknown kind = iota
	kindBinarySTL
	kindASCIISTL
	kind3MF
	kindOBJ
	kindArchive
	kindEmpty
	kindZeros
	kindResourceFork
	kindWebPage
	kindXML
	kindCompressed
	kindWideText
)

// sniffed is how many bytes sniff wants to see. A first line of an ASCII STL
// may be long, but is seldom longer; 4 KiB is one page of the disk.
const sniffed = 4096

// sniff tells what a source holds from its first bytes (at most sniffed), its
// size and, only where the content leaves a choice, the extension of its
// name.
//
// A binary STL is one whose size is what its count of triangles asks for,
// whatever its first word (many programs write "solid" there). An ASCII STL
// cannot pass for one: four characters read as a count ask for a file of more
// than 7 GB. Where the size does not agree, a file of text that begins with
// "solid" or "facet" is ASCII and anything else a damaged binary one.
func sniff(head []byte, size int64, name string) kind {
	ext := extension(name)
	switch {
	case size == 0:
		return kindEmpty
	case sizeAgrees(head, size):
		return kindBinarySTL
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		if ext == ".zip" {
			return kindArchive
		}
		return kind3MF
	case bytes.HasPrefix(head, []byte{0x00, 0x05, 0x16, 0x07}), bytes.HasPrefix(head, []byte{0x00, 0x05, 0x16, 0x00}):
		return kindResourceFork // AppleDouble and AppleSingle, RFC 1740
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}), bytes.HasPrefix(head, []byte("7z\xbc\xaf\x27\x1c")), bytes.HasPrefix(head, []byte("Rar!")):
		return kindCompressed
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return kindWideText
	case len(bytes.Trim(head, "\x00")) == 0:
		return kindZeros
	}
	if k := sniffText(head, ext); k != kindUnknown {
		return k
	}
	if ext == ".stl" && !plainText(head) {
		return kindBinarySTL
	}
	return kindUnknown
}

// sniffText tells what a source holds if it is text. Text has no zeros but
// behind its end, where it is cut short; the zeros of a binary file stand
// among its numbers.
func sniffText(head []byte, ext string) kind {
	text := bytes.TrimRight(head, "\x00")
	text = bytes.TrimLeft(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")), " \t\r\n\v\f")
	switch {
	case bytes.IndexByte(text, 0) >= 0:
		return kindUnknown
	case beginsWith(text, "solid"), beginsWith(text, "facet"), beginsWith(text, "endsolid"):
		return kindASCIISTL
	case beginsWith(text, "<!doctype"), beginsWith(text, "<html"):
		return kindWebPage
	case bytes.HasPrefix(text, []byte("<")):
		return kindXML
	case !plainText(text):
		return kindUnknown
	case ext == ".obj", beginsLine(text, "v "), beginsLine(text, "v\t"):
		return kindOBJ
	case len(text) == 0 && ext == ".stl":
		return kindASCIISTL // blank as far as was looked: let the reader say what follows
	}
	return kindUnknown
}

// sizeAgrees reports whether head is that of a binary STL of exactly size.
func sizeAgrees(head []byte, size int64) bool {
	return len(head) >= stlHeader && size == stlHeader+stlFacet*declared(head)
}

// declared returns the count of triangles in the head of a binary STL.
func declared(head []byte) int64 {
	return int64(binary.LittleEndian.Uint32(head[stlHeader-4:]))
}

// plainText reports whether text has no control characters but blanks. Bytes
// above 127 are letters of some script.
func plainText(text []byte) bool {
	return !bytes.ContainsFunc(text, func(r rune) bool { return r < ' ' && !blank[byte(r)] })
}

// beginsWith reports whether text begins with the ASCII word in any case.
func beginsWith(text []byte, word string) bool {
	return len(text) >= len(word) && bytes.EqualFold(text[:len(word)], []byte(word))
}

// beginsLine reports whether a line of text begins with s.
func beginsLine(text []byte, s string) bool {
	return bytes.HasPrefix(text, []byte(s)) || bytes.Contains(text, []byte("\n"+s))
}

// refusal is the error for a source that holds no mesh.
func (k kind) refusal() error {
	switch k {
	case kindArchive:
		return &ReadError{Cause: "is an archive of files", Remedy: "its members are read one by one"}
	case kindEmpty:
		return &ReadError{Cause: "the file is empty (0 bytes)",
			Remedy: "download or export it again", Unfinished: true}
	case kindZeros:
		return &ReadError{Place: "byte 0", Cause: "holds only zeros where a mesh should begin: the room was reserved, the content never came",
			Remedy: "wait for the download to end, or download it again", Unfinished: true}
	case kindResourceFork:
		return &ReadError{Place: "byte 0", Cause: "not a mesh: a resource-fork file that macOS puts beside the real one",
			Remedy: "delete it; the real file has the same name without ._ in front"}
	case kindWebPage:
		return &ReadError{Place: "byte 0", Cause: "not a mesh: a web page was saved in its place",
			Remedy: "open the page, sign in if it asks, and download the file itself"}
	case kindXML:
		return &ReadError{Place: "byte 0", Cause: "not a mesh: bare XML (a 3MF file is a zip package round it)",
			Remedy: "export it again as STL or 3MF"}
	case kindCompressed:
		return &ReadError{Place: "byte 0", Cause: "not a mesh: a compressed archive", Remedy: "unpack it, or pack it as .zip"}
	case kindWideText:
		return &ReadError{Place: "byte 0", Cause: "text in UTF-16, which no mesh format uses", Remedy: "save it as plain text (UTF-8), or export it again"}
	}
	return &ReadError{Place: "byte 0", Cause: "not a mesh: neither STL nor 3MF nor OBJ", Remedy: "export or download it again"}
}
