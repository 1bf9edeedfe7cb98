package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tallywire/excel"
	"tallywire/model"
	"tallywire/points/exchange"
	"tallywire/points/intake"
	"tallywire/schemas"
)

// input is a project as read, with what the commands need to know of its files.
type input struct {
	project *model.Project
	dir     string   // folder that names are relative to
	stem    string   // what the default output is named after
	files   []string // every file read, so that none is written over
	// existing are the files that tell of points the building has.
	existing []exchange.File
	// projectFile is the project file, "" for a bare list.
	projectFile string
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// listEndings are the file names that can hold an equipment list.
var listEndings = []string{".csv", ".tsv", ".txt", ".xlsx", ".xlsm"}

// readInput reads an equipment list, a project file, or a folder holding one.
func readInput(path string) (*input, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, missing(path)
	case err != nil:
		return nil, err
	case info.IsDir():
		return readFolder(path)
	}
	if slices.Contains([]string{".yaml", ".yml", ".json"}, strings.ToLower(filepath.Ext(path))) {
		return readProject(path)
	}
	in := newInput(path)
	in.project.Name = in.stem
	return in, in.addList(schemas.ListFile{File: filepath.Base(path)})
}

// missing names what stands in the folder instead.
func missing(path string) error {
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return wrong("%s: there is no such file, nor its folder", path)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if near := nearestName(filepath.Base(path), names); near != "" {
		return wrong("%s: there is no such file; did you mean %s?", path, filepath.Join(filepath.Dir(path), near))
	}
	return wrong("%s: there is no such file", path)
}

func newInput(path string) *input {
	base := filepath.Base(path)
	return &input{project: &model.Project{}, dir: filepath.Dir(path), stem: strings.TrimSuffix(base, filepath.Ext(base))}
}

// readFolder takes the folder's project file, or else its only list.
func readFolder(dir string) (*input, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var projects, tables []string
	for _, e := range entries {
		name := e.Name()
		ext := strings.ToLower(filepath.Ext(name))
		switch {
		case e.IsDir() || strings.HasPrefix(name, "~$") || strings.HasPrefix(name, "."):
		case slices.Contains([]string{"project.yaml", "project.yml", "project.json"}, strings.ToLower(name)):
			projects = append(projects, name)
		case slices.Contains(listEndings, ext):
			if data, err := os.ReadFile(filepath.Join(dir, name)); err == nil && ext == ".xlsx" && excel.IsOurs(data) {
				continue // a schedule that we wrote
			}
			tables = append(tables, name)
		}
	}
	switch {
	case len(projects) == 1:
		return readProject(filepath.Join(dir, projects[0]))
	case len(projects) > 1:
		return nil, wrong("%s holds several project files (%s): name the one to use", dir, strings.Join(projects, ", "))
	case len(tables) == 1:
		return readInput(filepath.Join(dir, tables[0]))
	case len(tables) > 1:
		return nil, wrong("%s holds several lists (%s): name one, or write a project.yaml that says which and in what order (tallywire new starts one)", dir, strings.Join(tables, ", "))
	}
	return nil, wrong("%s holds no equipment list: no project.yaml and no .csv, .tsv or .xlsx file", dir)
}

// readProject reads a project file and all the files it names.
func readProject(path string) (*input, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	in := newInput(path)
	if strings.TrimSuffix(strings.ToLower(filepath.Base(path)), filepath.Ext(path)) == "project" {
		if abs, err := filepath.Abs(in.dir); err == nil {
			in.stem = filepath.Base(abs)
		}
	}
	form, err := schemas.ReadProject(filepath.Base(path), data)
	if err != nil {
		return nil, asInput(err)
	}
	in.project = &form.Project
	if in.project.Name == "" {
		in.project.Name = in.stem
	}
	in.files, in.projectFile = append(in.files, path), path
	in.record(model.Input{File: filepath.Base(path), Name: "Project file", Issue: in.project.Issue, Role: "project"}, data)
	for _, l := range form.Lists {
		if err := in.addList(l); err != nil {
			return nil, err
		}
	}
	for _, l := range form.Library {
		if err := in.addLibrary(l); err != nil {
			return nil, err
		}
	}
	for _, l := range form.Against {
		if err := in.addDocument(l); err != nil {
			return nil, err
		}
	}
	for _, l := range form.Existing {
		if err := in.addExisting(l); err != nil {
			return nil, err
		}
	}
	if err := in.addAnswers(); err != nil {
		return nil, err
	}
	if len(form.Lists) == 0 && !slices.ContainsFunc(form.Project.Overrides, func(o model.EquipmentOverride) bool { return o.Add }) {
		return nil, wrong("%s: names no list and adds no equipment; under lists: write - file: fans.xlsx", filepath.Base(path))
	}
	return in, nil
}

// asInput makes a fault of an authored file an input error.
func asInput(err error) error {
	var faults schemas.Faults
	if errors.As(err, &faults) {
		return inputError{text: faults.Error(), faults: faults}
	}
	var file *intake.FileError
	if errors.As(err, &file) {
		return inputError{text: file.Error()}
	}
	return err
}

// record notes an input with its fingerprint.
func (in *input) record(one model.Input, data []byte) {
	sum := sha256.Sum256(data)
	one.SHA256 = hex.EncodeToString(sum[:])
	in.project.Inputs = append(in.project.Inputs, one)
}

// open reads a file that the project names.
func (in *input) open(l schemas.ListFile) ([]byte, error) {
	path := filepath.Join(in.dir, filepath.FromSlash(l.File))
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		if l.Where.Known() {
			return nil, wrong("%s: %s", l.Where, missing(path))
		}
		return nil, missing(path)
	}
	if err != nil {
		return nil, err
	}
	in.files = append(in.files, path)
	return data, nil
}

// addList reads the tables of one equipment list.
func (in *input) addList(l schemas.ListFile) error {
	data, err := in.open(l)
	if err != nil {
		return err
	}
	sheets, err := readTables(l, data)
	if err != nil {
		return err
	}
	in.project.Sheets = append(in.project.Sheets, sheets...)
	if l.Role == "" {
		l.Role = "equipment list"
	}
	in.record(model.Input{File: filepath.ToSlash(l.File), Name: l.Name, Issue: l.Issue, Role: l.Role}, data)
	return nil
}

// addDocument reads another trade's list.
func (in *input) addDocument(l schemas.ListFile) error {
	data, err := in.open(l)
	if err != nil {
		return err
	}
	sheets, err := readTables(l, data)
	if err != nil {
		return err
	}
	doc := model.Document{Sheets: sheets}
	in.record(model.Input{File: filepath.ToSlash(l.File), Name: l.Name, Issue: l.Issue, Role: l.Role}, data)
	doc.Input = in.project.Inputs[len(in.project.Inputs)-1]
	in.project.Against = append(in.project.Against, doc)
	return nil
}

// addAnswers reads the accepted answers beside the project file, if there are any.
func (in *input) addAnswers() error {
	path := filepath.Join(in.dir, answersFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	in.project.Answers, err = schemas.ReadAnswers(answersFile, data)
	if err != nil {
		return asInput(err)
	}
	in.files = append(in.files, path)
	in.record(model.Input{File: answersFile, Name: "Accepted answers", Role: "answers"}, data)
	return nil
}

// addLibrary reads one of the user's own library files.
func (in *input) addLibrary(l schemas.ListFile) error {
	data, err := in.open(l)
	if err != nil {
		return err
	}
	in.project.Library = append(in.project.Library, model.LibraryFile{Subject: l.Role, File: filepath.ToSlash(l.File), Text: data})
	in.record(model.Input{File: filepath.ToSlash(l.File), Name: "Own " + l.Role, Role: "library"}, data)
	return nil
}

// readTables reads a workbook or delimited text, by content first.
func readTables(l schemas.ListFile, data []byte) ([]model.Sheet, error) {
	name := filepath.ToSlash(l.File)
	var sheets []model.Sheet
	var err error
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) || slices.Contains([]string{".xlsx", ".xlsm", ".xls", ".ods"}, strings.ToLower(filepath.Ext(name))) {
		sheets, err = excel.ReadSheets(name, data)
	} else {
		sheets, err = intake.ReadDelimited(name, data)
	}
	if err != nil {
		return nil, named(name, err)
	}
	if l.Sheet == "" {
		return sheets, nil
	}
	var names []string
	for _, s := range sheets {
		if s.Name == l.Sheet {
			return []model.Sheet{s}, nil
		}
		names = append(names, s.Name)
	}
	near := nearestName(l.Sheet, names)
	if near != "" {
		near = fmt.Sprintf("; did you mean %q?", near)
	}
	return nil, wrong("%s: there is no sheet %q; it has %s%s", name, l.Sheet, strings.Join(names, ", "), near)
}

// named puts the file's name before what its reader says.
func named(file string, err error) error {
	if strings.HasPrefix(err.Error(), file) {
		return inputError{text: err.Error()}
	}
	return inputError{text: file + ": " + err.Error()}
}
