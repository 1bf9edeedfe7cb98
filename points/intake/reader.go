package intake

import (
	"sort"
	"strings"

	"tallywire/points/library"
)

// reader holds the library's words in the form in which they are looked up.
type reader struct {
	lib       *library.Library
	spellings []spelling // longest first
	exact     map[string]*library.Heading
	unordered map[string]*library.Heading
	phrases   []string           // every heading phrase, for suggestions
	read      map[string]heading // headings read before
	rules     []rule
	tagWords  map[string]bool  // words that occur in headings of tags
	tagCells  map[string]bool  // texts that were looked at for them
	about     map[string][]int // rules by what they are about, in order of the library
}

// rule is a piece of evidence with its phrases evened out once.
type rule struct {
	*library.Evidence
	words, unless []string
}

type spelling struct {
	text    string
	measure *library.Measure
}

func newReader(lib *library.Library) *reader {
	r := &reader{lib: lib, read: map[string]heading{}, tagWords: map[string]bool{}, tagCells: map[string]bool{}, exact: map[string]*library.Heading{}, unordered: map[string]*library.Heading{}}
	for i := range lib.Measures {
		for _, s := range lib.Measures[i].Spellings {
			r.spellings = append(r.spellings, spelling{strings.ToLower(evenOut.Replace(s)), &lib.Measures[i]})
		}
	}
	sort.SliceStable(r.spellings, func(i, j int) bool { return len(r.spellings[i].text) > len(r.spellings[j].text) })
	for i := range lib.Headings {
		h := &lib.Headings[i]
		for _, w := range h.Words {
			words := r.words(w)
			key := strings.Join(words, " ")
			if h.ID == "tag" {
				for _, one := range words {
					r.tagWords[one] = true
				}
			}
			if _, taken := r.exact[key]; !taken {
				r.exact[key] = h
			}
			if k := unorderedKey(words); r.unordered[k] == nil {
				r.unordered[k] = h
			}
			if h.Use == library.UseField {
				r.phrases = append(r.phrases, strings.ToLower(w))
			}
		}
	}
	r.about = map[string][]int{}
	for i := range lib.Evidence {
		one := rule{Evidence: &lib.Evidence[i]}
		for _, w := range one.Words {
			one.words = append(one.words, phrase(w))
		}
		for _, u := range one.Unless {
			one.unless = append(one.unless, phrase(u))
		}
		r.rules = append(r.rules, one)
		r.about[one.About] = append(r.about[one.About], i)
	}
	return r
}

func unorderedKey(words []string) string {
	sorted := append([]string(nil), words...)
	sort.Strings(sorted)
	return strings.Join(sorted, " ")
}
