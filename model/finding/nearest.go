package finding

import "strings"

// Nearest returns the candidate most like the word, "" if none is near: at
// most a third of its letters differ. Case, blanks, hyphens and underscores do
// not count. Ties go to the first.
func Nearest(word string, candidates []string) string {
	w := fold(word)
	best, least := "", max(1, len([]rune(w))/3)+1
	for _, c := range candidates {
		if d := distance(w, fold(c)); d < least {
			best, least = c, d
		}
	}
	return best
}

func fold(s string) string {
	return strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(s))
}

// distance counts insertions, deletions, replacements and swaps of neighbours
// (optimal string alignment).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	prev2, prev, row := []int(nil), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row = make([]int, len(y)+1)
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(prev[j]+1, row[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], prev2[j-2]+1)
			}
		}
		prev2, prev = prev, row
	}
	return prev[len(y)]
}
