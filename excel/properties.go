package excel

import (
	"bytes"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// properties sets what the file says of itself. No clock goes in: the date is
// the project's own, if it is one.
func (b *book) properties() error {
	if err := b.f.SetDocProps(&excelize.DocProperties{Title: b.head.project, Creator: "tallywire"}); err != nil {
		return err
	}
	if err := b.f.SetAppProps(&excelize.AppProperties{Application: "tallywire", AppVersion: "1.0000"}); err != nil {
		return err
	}
	full := true
	return b.f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full})
}

// coreProperties writes docProps/core.xml with the usual prefixes, which
// prefix-bound readers need.
func coreProperties(head model.ProjectHead) []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" +
		`<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" ` +
		`xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" ` +
		`xmlns:dcmitype="http://purl.org/dc/dcmitype/" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">`)
	element := func(name, value string) {
		if value = strings.TrimSpace(value); value != "" {
			b.WriteString("<" + name + ">")
			b.Write(appendText(nil, value))
			b.WriteString("</" + name + ">")
		}
	}
	author := head.Author
	if author == "" {
		author = "tallywire"
	}
	element("dc:title", head.Name)
	element("dc:subject", "Point schedule")
	element("dc:creator", author)
	element("dc:description", head.Issue)
	element("cp:lastModifiedBy", author)
	if day, err := time.Parse("2006-01-02", head.Date); err == nil {
		stamp := day.Format("2006-01-02T15:04:05Z")
		for _, name := range []string{"created", "modified"} {
			b.WriteString(`<dcterms:` + name + ` xsi:type="dcterms:W3CDTF">` + stamp + `</dcterms:` + name + `>`)
		}
	}
	b.WriteString(`</cp:coreProperties>`)
	return b.Bytes()
}
