package settings

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"unicode/utf8"
)

// MostBytes is the most that is read of a plan, an amendment or settings.
const MostBytes = 16 << 20

// Amendment is a city's file that is laid over a code book.
type Amendment struct {
	Name    string // as the reader knows it
	Content []byte
}

// ReadAmendment reads a city's file that its reader knows by a name.
func ReadAmendment(file, name string) (Amendment, error) {
	content, err := readFile(file, func(f *os.File) ([]byte, error) {
		if info, err := f.Stat(); err == nil && info.IsDir() {
			return nil, errors.New("is a folder; name an amendment file")
		}
		return ReadText(f)
	})
	return Amendment{name, content}, err
}

// Lay makes amendments files of a plan's file system: their content by the
// path they get there, the paths in order, and by path the name that their
// reader knows.
func Lay(amendments []Amendment) (files map[string][]byte, paths []string, names map[string]string) {
	files, names = map[string][]byte{}, map[string]string{}
	for i, a := range amendments {
		file := fmt.Sprintf("amendment-%d/%s", i+1, path.Base(a.Name))
		files[file], names[file] = a.Content, a.Name
		paths = append(paths, file)
	}
	return files, paths, names
}

func readFile(name string, read func(*os.File) ([]byte, error)) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, Reason(err)
	}
	defer f.Close()
	return read(f)
}

// ReadText reads a text, which is UTF-8 and within the limit.
func ReadText(from io.Reader) ([]byte, error) {
	content, err := ReadLimited(from)
	if err != nil {
		return nil, err
	}
	if at := InvalidUTF8(content); at >= 0 {
		return nil, fmt.Errorf("is not UTF-8 at byte %d; save it as UTF-8", at)
	}
	return content, nil
}

// ReadLimited reads what is within the limit.
func ReadLimited(from io.Reader) ([]byte, error) {
	content, err := io.ReadAll(io.LimitReader(from, MostBytes+1))
	if err != nil {
		return nil, Reason(err)
	}
	if len(content) > MostBytes {
		return nil, fmt.Errorf("is larger than %d MiB, the most a file may have; split it", MostBytes>>20)
	}
	return content, nil
}

// InvalidUTF8 is the offset of the first byte that is no UTF-8, or -1.
func InvalidUTF8(content []byte) int {
	if utf8.Valid(content) {
		return -1
	}
	for at := 0; at < len(content); {
		r, size := utf8.DecodeRune(content[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return -1
}

// Reason is an error of the file system in the program's words.
func Reason(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("does not exist; check the name")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("permission denied; change its permissions")
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
