package intake

// Tags expands a tag cell: EF-1 thru 4, EF-1,2, (E) EF-3; nil if it holds no
// tag that can be read.
func Tags(text string) []string {
	t := readTags(text)
	if t.problem != "" {
		return nil
	}
	return t.tags
}
