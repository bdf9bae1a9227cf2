package feed

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Limits against a small file that unpacks to fill the memory. Deflate reaches
// 1032:1; a weather file of blanks and missing codes stays below 100:1.
const (
	maxUnpackedBytes  = 2 << 30
	maxUnpackedRatio  = 200
	ratioMattersBytes = 16 << 20 // below this no ratio does harm
	maxZipFiles       = 1000
)

// input is one file, unpacked.
type input struct {
	*bufio.Reader
	size   int     // how many bytes will come, where it is known; else 0
	files  archive // of a zip whose format reads several; Reader is nil then
	packed *guard  // nil for what wasn't packed
}

// broken is the refusal of a packed file that couldn't be unpacked to its end.
func (in *input) broken() error {
	if in.packed == nil {
		return nil
	}
	return in.packed.refusal
}

// whole gives a parser that needs all bytes at once what it needs.
func whole(parse func(body []byte, opt Options) (Batch, error)) func(*input, Options) (Batch, error) {
	return func(in *input, opt Options) (Batch, error) {
		var b bytes.Buffer
		b.Grow(in.size + bytes.MinRead)
		if _, err := b.ReadFrom(in); err != nil {
			return Batch{}, err
		}
		return parse(b.Bytes(), opt)
	}
}

// unpack opens gzip and zip, and leaves everything else as it is.
func unpack(r io.Reader, f Format) (*input, error) {
	size := 0
	if from, ok := r.(*remembering); ok {
		size = from.size()
	}
	buffer := readerBytes
	if size > 0 {
		buffer = min(buffer, max(size+1, 4096)) // small files are many
	}
	b := bufio.NewReaderSize(r, buffer)
	start, _ := b.Peek(4) // its error comes again at the next reading
	switch {
	case bytes.HasPrefix(start, []byte("\x1f\x8b")):
		return unzipGzip(b)
	case bytes.HasPrefix(start, []byte("PK\x03\x04")), bytes.HasPrefix(start, []byte("PK\x05\x06")):
		body, err := io.ReadAll(b)
		if err != nil {
			return nil, err
		}
		return openZip(body, f)
	}
	return &input{Reader: b, size: size}, nil
}

const readerBytes = 256 << 10

// remembering keeps the error of the reader itself apart from those of
// what it holds.
type remembering struct {
	r   io.Reader
	n   int64
	err error
}

func (m *remembering) Read(p []byte) (int, error) {
	n, err := m.r.Read(p)
	m.n += int64(n)
	if err != nil && err != io.EOF {
		m.err = err
	}
	return n, err
}

func (m *remembering) size() int {
	if sized, ok := m.r.(interface{ Len() int }); ok {
		return sized.Len()
	}
	return 0
}

// guard watches what comes out of a packed file.
type guard struct {
	r        io.Reader
	packed   func() int64 // bytes that have gone in
	unpacked int64
	refusal  error
}

func (g *guard) Read(p []byte) (int, error) {
	if g.refusal != nil {
		return 0, g.refusal
	}
	n, err := g.r.Read(p)
	g.unpacked += int64(n)
	switch {
	case g.unpacked > maxUnpackedBytes:
		g.refusal = refuse("unpack it and read its parts", "the packed file holds more than %d MB", maxUnpackedBytes>>20)
	case g.unpacked > ratioMattersBytes && g.unpacked > maxUnpackedRatio*g.packed():
		g.refusal = refuse("look where it comes from: no weather file is like that", "the packed file unpacks to more than %d times its size", maxUnpackedRatio)
	case err != nil && err != io.EOF:
		g.refusal = refuse("fetch it again", "this compressed file is cut off or damaged: %s", shorten(err.Error()))
	}
	if g.refusal != nil {
		return 0, g.refusal
	}
	return n, err
}

func unzipGzip(b *bufio.Reader) (*input, error) {
	counted := &remembering{r: b}
	z, err := gzip.NewReader(counted)
	if counted.err != nil {
		return nil, counted.err
	}
	if err != nil {
		return nil, refuse("fetch it again", "this compressed file is cut off or damaged: %s", shorten(err.Error()))
	}
	g := &guard{r: z, packed: func() int64 { return counted.n }}
	return &input{Reader: bufio.NewReaderSize(g, readerBytes), packed: g}, nil
}

// archive is the files of a zip.
type archive []archiveFile

type archiveFile = *zip.File

// openZip opens a zip of one file, or gives the files to a format that reads
// several.
func openZip(body []byte, f Format) (*input, error) {
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) { // paths don't matter: nothing is written
		return nil, refuse("fetch it again", "this compressed file is cut off or damaged: %s", shorten(err.Error()))
	}
	if len(z.File) > maxZipFiles {
		return nil, refuse("look where it comes from", "the zip holds %d files", len(z.File))
	}
	files := slices.DeleteFunc(archive(z.File), func(f *zip.File) bool { return f.FileInfo().IsDir() })
	switch {
	case len(files) == 0:
		return nil, refuse("fetch it again", "the zip is empty")
	case f.zipped != nil:
		return &input{files: files}, nil
	case len(files) > 1:
		return nil, refuse("unpack it and read the right one", "the zip holds %d files: %s", len(files), shorten(strings.Join(files.names(), ", ")))
	}
	return files.open(files[0])
}

func (a archive) names() []string {
	names := make([]string, len(a))
	for i, f := range a {
		names[i] = f.Name
	}
	return names
}

// open gives one file of the zip as input.
func (a archive) open(f *zip.File) (*input, error) {
	r, err := f.Open()
	if err != nil {
		return nil, refuse("fetch it again", "%s in this compressed file can't be unpacked: %s", shorten(f.Name), shorten(err.Error()))
	}
	g := &guard{r: r, packed: func() int64 { return int64(f.CompressedSize64) + 1 }}
	return &input{Reader: bufio.NewReaderSize(g, readerBytes), packed: g}, nil
}

// looksReadable refuses what is no data of any format: nothing, a web page.
func (in *input) looksReadable(format string) error {
	body, err := in.Peek(512)
	if err != nil && err != io.EOF {
		return fmt.Errorf("reading %s data: %w", format, err)
	}
	start := bytes.TrimSpace(bytes.TrimPrefix(body, byteOrderMark))
	switch {
	case len(start) == 0 && len(body) < 512:
		return refuse("look whether the source still writes it", "the %s data is empty", format)
	case isPage(start):
		return refuse("open the address in a browser: it may be a login, an error or a wrong address", "this is an HTML page, not %s data", format)
	}
	return nil
}

func isPage(start []byte) bool {
	lower := bytes.ToLower(start)
	return bytes.HasPrefix(lower, []byte("<!doctype html")) || bytes.HasPrefix(lower, []byte("<html"))
}
