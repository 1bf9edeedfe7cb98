package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestAddress: the names of a model stand under the flag's address, else the
// project's, else a placeholder that is told.
func TestAddress(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	put("fans.csv", smallList)
	for _, c := range []struct {
		settings string
		args     []string
		want     string
		told     bool
	}{
		{"", nil, "@prefix site: <urn:example:site#> .", true},
		{"settings: {naming: {address: 'https://owner.example/b7/'}}\n", nil, "@prefix site: <https://owner.example/b7/> .", false},
		{"settings: {naming: {address: 'https://owner.example/b7/'}}\n", []string{"--address", "https://owner.example/b8#"}, "@prefix site: <https://owner.example/b8#> .", false},
	} {
		put("project.yaml", "lists:\n  - file: fans.csv\n"+c.settings)
		code, out, errs := call(t, append([]string{"export", dir, "--as", "brick", "-o", "-"}, c.args...)...)
		if code != exitDone || !strings.Contains(out, c.want) || strings.Contains(errs, "placeholder") != c.told {
			t.Errorf("%q %v: exit %d, %s\n%.300s", c.settings, c.args, code, errs, out)
		}
	}
}
