package excel

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"tallywire/model"
)

// SaveOptions are the options of Save.
type SaveOptions struct {
	Options
	// Force writes over a workbook in which other people have written.
	Force bool
	// Reissue puts what other people wrote into the workbook that is there back
	// into the new one: answers, notes, own columns and sheets, order, widths.
	Reissue bool
}

// ErrEntries says that the file to be written over holds what other people wrote.
var ErrEntries = errors.New("holds entries of other people")

// ErrForeign says that the file to be written over is none of ours.
var ErrForeign = errors.New("is not a workbook that this program wrote")

// Save writes the workbook of a plan to path. It writes a new file beside it,
// makes sure that it is on the disk and renames it, so that on any failure the
// old file stays whole. A file that is there already and holds other people's
// entries, or that this program did not write, is refused without Force.
func Save(path string, plan *model.Plan, opts SaveOptions) error {
	switch {
	case opts.Reissue:
		kept, err := written(path, plan)
		if err != nil {
			return err
		}
		if opts.Keep == nil {
			opts.Keep = kept
		}
	case !opts.Force:
		if err := replaceable(path); err != nil {
			return err
		}
	}
	return replaceFile(path, func(w io.Writer) error { return Write(w, plan, opts.Options) }, disk{})
}

// written reads what people wrote into the workbook at path; nil if there is none.
func written(path string, plan *model.Plan) (*model.Returned, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	r, err := ReadReturned(filepath.Base(path), data, plan)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return r, nil
}

// replaceable reports whether path may be written over.
func replaceable(path string) error {
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case err != nil:
		return err
	case len(data) == 0:
		return nil
	case !IsOurs(data):
		return fmt.Errorf("%s %w; choose another name with -o, or use --force", filepath.Base(path), ErrForeign)
	}
	entries, err := Entries(data)
	if err != nil {
		return fmt.Errorf("%s cannot be read back (%v); choose another name with -o, or use --force", filepath.Base(path), err)
	}
	if len(entries) > 0 {
		return fmt.Errorf("%s %w (%s); carry them over with --reissue, choose another name with -o, or use --force",
			filepath.Base(path), ErrEntries, someOf(entries, 3))
	}
	return nil
}

// someOf lists the first few of a list and how many more there are.
func someOf(list []string, n int) string {
	if len(list) <= n {
		return strings.Join(list, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(list[:n], ", "), len(list)-n)
}

// saver is what replaceFile needs of a file system; tests put failures into it.
type saver interface {
	create(dir, pattern string) (*os.File, error)
	rename(from, to string) error
	remove(path string) error
}

// disk is the real file system.
type disk struct{}

func (disk) create(dir, pattern string) (*os.File, error) {
	// Not os.CreateTemp: that makes files only their owner may read. The mode
	// follows the umask, as for any document that is saved.
	for n := 0; ; n++ {
		path := filepath.Join(dir, strings.Replace(pattern, "*", fmt.Sprint(os.Getpid(), "-", n), 1))
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
		if !errors.Is(err, os.ErrExist) || n > 100 {
			return f, err
		}
	}
}
func (disk) rename(from, to string) error { return os.Rename(from, to) }
func (disk) remove(path string) error     { return os.Remove(path) }

// renameTries and renamePause bound how long a rename is tried again where
// another program holds the old file for a moment: on Windows a virus scanner
// does, and a spreadsheet program does as long as the file is open in it.
const (
	renameTries = 10
	renamePause = 250 * time.Millisecond
)

// patiently renames, trying again on Windows only: elsewhere an open file does
// not stand in the way, and an error stays one. Not tested on Windows.
func patiently(fs saver, from, to string) error {
	err := fs.rename(from, to)
	for n := 1; err != nil && runtime.GOOS == "windows" && n < renameTries; n++ {
		time.Sleep(renamePause)
		err = fs.rename(from, to)
	}
	return err
}

// OpenElsewhere returns the name of the file by which a spreadsheet program
// says that it has path open; "" if there is none. Where such a program runs,
// a new issue reaches the disk but not its window, and it may write the old
// one back: people should be told.
func OpenElsewhere(path string) string {
	dir, base := filepath.Split(path)
	names := []string{"~$" + base, ".~lock." + base + "#"}
	if r := []rune(base); len(r) > 12 { // one program drops two letters of long names
		names = append(names, "~$"+string(r[2:]))
	}
	for _, name := range names {
		if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
			return name
		}
	}
	return ""
}

// replaceFile writes through a new file in the same folder. A link is followed,
// an old file's mode is kept.
func replaceFile(path string, write func(io.Writer) error, fs saver) (err error) {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	dir := filepath.Dir(path)
	f, err := fs.create(dir, ".tallywire-*.tmp")
	if err != nil {
		return fmt.Errorf("cannot write in folder %s: %w", dir, err)
	}
	temp := f.Name()
	defer func() {
		if err == nil {
			return
		}
		f.Close()
		fs.remove(temp)
		if _, there := os.Stat(path); there == nil {
			err = fmt.Errorf("%w; the old %s is whole and unchanged", err, filepath.Base(path))
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if old, err := os.Stat(path); err == nil {
		if err := f.Chmod(old.Mode().Perm()); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := patiently(fs, temp, path); err != nil {
		return fmt.Errorf("cannot put the new workbook in the place of %s; close it if a program has it open: %w", filepath.Base(path), err)
	}
	// The folder's entry is made lasting too where the system can; where it
	// cannot, the file itself is safe all the same.
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
	return nil
}
