package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"tallywire/model"
	"tallywire/model/finding"
)

// number prints "1 fault", "3 faults".
func number(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// hardwiredTypes is the order in which point types are printed.
var (
	hardwiredTypes = []string{"AI", "AO", "BI", "BO", "MSI", "MSO"}
	softwareTypes  = []string{"AV", "BV", "MSV"}
)

// printSummary prints the head of the answer: what was read and what it comes to.
func printSummary(w io.Writer, p *model.Plan) error {
	head := p.Project.Name
	if p.Project.Issue != "" {
		head += ", " + p.Project.Issue
	}
	c := p.Counts
	fmt.Fprintln(w, head)
	fmt.Fprintf(w, "%s planned; %s\n\n", number(c.Equipment, "machine"), number(c.Alarms, "alarm"))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "\t"+strings.Join(hardwiredTypes, "\t")+"\tall\t")
	fmt.Fprintln(t, "hardwired points"+cells(c.ByType.Hardwired, hardwiredTypes)+"\t")
	for _, bid := range []string{model.Base, model.Alternate, model.Existing} {
		if n := c.ByBid[bid].Hardwired; sum(n) > 0 && sum(n) != sum(c.ByType.Hardwired) {
			fmt.Fprintln(t, "of these, "+bid+cells(n, hardwiredTypes)+"\t")
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "software points %d, network points %d, by others %d (counted apart)\n\n",
		sum(c.ByType.Software), sum(c.ByType.Network), c.ByOthers)
	return err
}

func cells(c model.TypeCounts, types []string) string {
	var b strings.Builder
	total := 0
	for _, t := range types {
		fmt.Fprintf(&b, "\t%d", c[t])
		total += c[t]
	}
	fmt.Fprintf(&b, "\t%d", total)
	return b.String()
}

func sum(c model.TypeCounts) int {
	n := 0
	for _, v := range c {
		n += v
	}
	return n
}

// printCounts prints the points by type, system, panel and machine.
func printCounts(w io.Writer, p *model.Plan) error {
	if err := printSummary(w, p); err != nil {
		return err
	}
	for _, part := range []struct {
		title string
		by    map[string]model.TypeCounts
	}{{"system", p.Counts.BySystem}, {"panel", p.Counts.ByPanel}, {"machine", p.Counts.ByEquipment}} {
		if len(part.by) == 0 {
			continue
		}
		names := make([]string, 0, len(part.by))
		for name := range part.by {
			names = append(names, name)
		}
		slices.SortFunc(names, finding.CompareTags)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(t, "hardwired by "+part.title+"\t"+strings.Join(hardwiredTypes, "\t")+"\tall")
		for _, name := range names {
			shown := name
			if shown == "" {
				shown = "(not stated)"
			}
			fmt.Fprintln(t, shown+cells(part.by[name], hardwiredTypes))
		}
		if err := t.Flush(); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "software points\t"+strings.Join(softwareTypes, "\t")+"\tall")
	fmt.Fprintln(t, "all machines"+cells(p.Counts.ByType.Software, softwareTypes))
	return t.Flush()
}

// fewNotes is how many lines of notes a screen still takes; above it, schedule
// prints a digest so that the faults are not scrolled away.
const fewNotes = 40

// printFindings prints the findings worst first, then the cautions that stand
// on every output. With digest, many notes become one line for each code.
func printFindings(w io.Writer, p *model.Plan, digest bool) error {
	fmt.Fprintf(w, "%s, %s, %s\n", number(finding.Count(p.Findings, finding.Fault), "fault"),
		number(finding.Count(p.Findings, finding.Caution), "caution"), number(finding.Count(p.Findings, finding.Note), "note"))
	var pressing, notes []finding.Finding
	for _, f := range p.Findings {
		if f.Severity == finding.Note {
			notes = append(notes, f)
		} else {
			pressing = append(pressing, f)
		}
	}
	if !digest || len(notes) <= fewNotes {
		pressing, notes = p.Findings, nil
	}
	if err := finding.Text(w, pressing); err != nil {
		return err
	}
	printDigest(w, notes)
	fmt.Fprintln(w)
	for _, line := range p.Cautions {
		fmt.Fprintln(w, "! "+line)
	}
	return nil
}

// printDigest prints how many notes of each code there are and what the code says.
func printDigest(w io.Writer, notes []finding.Finding) {
	if len(notes) == 0 {
		return
	}
	lines := map[string]int{}
	var codes []string
	for _, f := range notes {
		if lines[f.Code]++; lines[f.Code] == 1 {
			codes = append(codes, f.Code)
		}
	}
	slices.Sort(codes)
	fmt.Fprintf(w, "\nnotes, %d lines in all: the workbook's findings sheet and tallywire check show them whole\n", len(notes))
	for _, id := range codes {
		c, _ := finding.Lookup(id)
		fmt.Fprintf(w, "%5d  %s: %s\n", lines[id], id, c.Title)
	}
}
