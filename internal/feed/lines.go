package feed

import (
	"bufio"
	"bytes"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	textunicode "golang.org/x/text/encoding/unicode"
)

// longestLine is the longest line that is taken, in bytes; a longer one is
// rejected, so that a file without line ends can't fill the memory.
const longestLine = readerBytes / 2

// lines gives a file line by line in UTF-8, without line ends. A byte-order
// mark says which encoding the file has; else a line that is valid UTF-8 is
// taken as such, and any other is Windows-1252 (which holds ISO-8859-1's
// letters), in which every byte means something.
type lines struct {
	r       *bufio.Reader
	number  int    // of the line that next gave, from 1
	text    string // that line
	tooLong bool   // the line was cut at longestLine
	ended   bool   // a line break ends it; of the lines before it one always does
	err     error  // why reading ended, if not at the end
}

func linesOf(in *input) *lines {
	l := &lines{r: in.Reader}
	start, _ := l.r.Peek(3)
	switch {
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		// The decoder never fails: a bad sequence becomes U+FFFD, and the
		// line that holds it is rejected when its field is read.
		utf16 := textunicode.UTF16(textunicode.LittleEndian, textunicode.UseBOM).NewDecoder()
		l.r = bufio.NewReaderSize(utf16.Reader(in.Reader), readerBytes)
	}
	return l
}

// byteOrderMark is that of UTF-8.
var byteOrderMark = []byte("\xef\xbb\xbf")

// endedAt reports whether a line break ends the line of that number, which
// was read with the newest one or before it.
func (l *lines) endedAt(number int) bool { return l.ended || number < l.number }

// next goes to the next line; false at the end.
func (l *lines) next() bool {
	raw, err := l.r.ReadSlice('\n')
	l.tooLong = len(raw) > longestLine
	if err == bufio.ErrBufferFull {
		l.tooLong = true
		raw = raw[:80]
		text := string(raw)
		for err == bufio.ErrBufferFull {
			_, err = l.r.ReadSlice('\n')
		}
		raw = []byte(text)
	}
	if err != nil && err != io.EOF {
		l.err = err
		return false
	}
	if err == io.EOF && len(raw) == 0 {
		return false
	}
	l.number++
	l.ended = err == nil || raw[len(raw)-1] == '\r'
	raw = bytes.TrimSuffix(bytes.TrimSuffix(raw, []byte("\n")), []byte("\r"))
	raw = bytes.TrimPrefix(raw, byteOrderMark) // that of the next file, where files were put one behind the other
	if utf8.Valid(raw) {
		l.text = string(raw)
		return true
	}
	l.text = latin(raw)
	return true
}

// latin decodes Windows-1252.
func latin(raw []byte) string {
	text, _ := charmap.Windows1252.NewDecoder().Bytes(raw) // it never fails
	return string(text)
}
