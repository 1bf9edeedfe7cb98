package excel

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// ErrIssued says that a file is a workbook which this program issued, not a list to plan from.
var ErrIssued = errors.New("is a point schedule that was issued from a list; give the list it was made from")

// IsOurs reports whether the bytes are a workbook that this program wrote.
func IsOurs(data []byte) bool {
	p, err := openPackage(data)
	if err != nil {
		return false
	}
	_, ok := p.fingerprint()
	return ok
}

// sniff says what a file is if it is not a workbook this package can read;
// nil if it looks like one. The message is one line: what it is and what to do.
func sniff(data []byte) error {
	head := data[:min(len(data), 4096)]
	text := bytes.ToLower(bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n"))
	switch {
	case len(data) == 0:
		return errors.New("the file is empty")
	case bytes.HasPrefix(head, []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")):
		return compound(data)
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return nil
	case bytes.HasPrefix(head, []byte("%PDF-")):
		return errors.New("is a PDF; export the schedule as .xlsx or .csv")
	case bytes.Contains(text, []byte("urn:schemas-microsoft-com:office:spreadsheet")):
		return errors.New("is an XML spreadsheet of the 2003 form; save it as .xlsx")
	case bytes.HasPrefix(text, []byte("<!doctype html")), bytes.HasPrefix(text, []byte("<html")),
		bytes.HasPrefix(text, []byte("<table")), bytes.HasPrefix(text, []byte("<head")), bytes.HasPrefix(text, []byte("<meta")):
		return errors.New("is a web page (HTML) with a spreadsheet's name; open it and save it as .xlsx")
	case bytes.HasPrefix(head, []byte("{\\rtf")):
		return errors.New("is a rich text document; export the schedule as .xlsx or .csv")
	case bytes.HasPrefix(head, []byte("\xFF\xFE")), bytes.HasPrefix(head, []byte("\xFE\xFF")):
		return errors.New("is plain text (UTF-16), not a workbook; rename it to .csv")
	case plainText(head):
		return errors.New("is plain text, not a workbook; rename it to .csv")
	}
	return errors.New("is not a workbook; save the list as .xlsx or .csv")
}

// compound tells the two kinds of workbook that live in an OLE2 container:
// encrypted ones and the old binary form. Stream names are UTF-16.
func compound(data []byte) error {
	switch {
	case bytes.Contains(data, wide("EncryptedPackage")):
		return errors.New("is protected with a password; remove it (save without password) and try again")
	case bytes.Contains(data, wide("WordDocument")):
		return errors.New("is a text document of the old binary form; export the schedule as .xlsx or .csv")
	case bytes.Contains(data, wide("Workbook")), bytes.Contains(data, wide("Book")):
		return errors.New("is a workbook of the old binary form (.xls); save it as .xlsx")
	}
	return errors.New("is an old binary document and no workbook; save the list as .xlsx")
}

func wide(s string) []byte {
	var out []byte
	for _, u := range utf16.Encode([]rune(s)) {
		out = binary.LittleEndian.AppendUint16(out, u)
	}
	return out
}

func plainText(head []byte) bool {
	if len(head) == 4096 { // a rune may be cut at the end
		head = head[:len(head)-utf8.UTFMax]
	}
	for _, c := range head {
		if c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			return false
		}
	}
	return true
}

// foreignZip says what a zip is that holds no workbook of this form.
func foreignZip(z *zip.Reader) error {
	var named, binaryBook bool
	for _, f := range z.File {
		switch {
		case f.Name == "mimetype":
			named = true
		case strings.EqualFold(f.Name, "xl/workbook.bin"):
			binaryBook = true
		case strings.HasPrefix(f.Name, "word/"):
			return errors.New("is a text document (.docx); export the schedule as .xlsx or .csv")
		case strings.HasPrefix(f.Name, "ppt/"):
			return errors.New("is a presentation (.pptx); export the schedule as .xlsx or .csv")
		case strings.HasPrefix(f.Name, "Index/") && strings.HasSuffix(f.Name, ".iwa"):
			return errors.New("is a document of another spreadsheet program; export it as .xlsx")
		}
	}
	switch {
	case binaryBook:
		return errors.New("is a binary workbook (.xlsb); save it as .xlsx")
	case named:
		return errors.New("is an OpenDocument file (.ods); save it as .xlsx")
	case len(z.File) == 0:
		return errors.New("is an empty zip archive, not a workbook")
	}
	return fmt.Errorf("is a zip archive with %d files and no workbook inside; unpack it and give the list", len(z.File))
}
