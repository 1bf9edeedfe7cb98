package main

import (
	"errors"
	"os"
	"path/filepath"

	"tallywire/model/finding"
)

func nearestName(word string, names []string) string { return finding.Nearest(word, names) }

// target returns where to write: what -o says, or the input's stem with an
// ending beside the input. Writing over an input is refused.
func (in *input) target(asked, ending string) (string, error) {
	path := asked
	if path == "" {
		path = filepath.Join(in.dir, in.stem+ending)
	}
	for _, f := range in.files {
		if sameFile(f, path) {
			return "", wrong("%s is an input; choose another name with -o", path)
		}
	}
	dir := filepath.Dir(path)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return "", wrong("%s: there is no folder %s", path, dir)
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return "", wrong("%s is a folder; name a file with -o", path)
	}
	return path, nil
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	if errX == nil && errY == nil {
		return os.SameFile(x, y)
	}
	return filepath.Clean(a) == filepath.Clean(b)
}

// replaceFile writes a file by way of a temporary name beside it, so that an
// old file stays whole if anything fails.
func replaceFile(path string, data []byte) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".tallywire-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	if _, err = f.Write(data); err != nil {
		return errors.Join(err, f.Close())
	}
	if err = f.Chmod(0o644); err != nil {
		return errors.Join(err, f.Close())
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
