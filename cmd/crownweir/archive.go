package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"crownweir/lsp/memfs"
	"crownweir/lsp/settings"
)

const (
	archiveEntries = 100_000   // entries of one archive
	archiveBytes   = 256 << 20 // unpacked bytes of the plans of one archive
)

func isArchive(name string) bool {
	for _, end := range []string{".zip", ".tar.gz", ".tgz", ".tar"} {
		if strings.HasSuffix(strings.ToLower(name), end) {
			return true
		}
	}
	return false
}

// archive lists the plans of an archive. The folder a plan stands in is the
// root of its includes.
func (r *reader) archive(name string) []input {
	files, refused, err := unpack(name)
	if err != nil {
		return refuse(name, "%w", err)
	}
	all := refused
	for _, entry := range files.Names() {
		config, configErr := r.config.of(filepath.Dir(name))
		if path.Ext(entry) != extension || config.Excludes(name+"/"+entry) {
			continue
		}
		folder, file := path.Split(entry)
		all = append(all, input{
			name: name + "/" + entry, file: file, prefix: name + "/" + folder,
			packed: true, settings: config, err: configErr,
			load: func() (loaded, error) { return loadEntry(files, entry) },
		})
	}
	if all == nil {
		return refuse(name, "is an archive without a plan; put a %s file into it or name another", extension)
	}
	return all
}

func loadEntry(files memfs.Files, entry string) (loaded, error) {
	content := files[entry]
	if at := settings.InvalidUTF8(content); at >= 0 {
		return loaded{}, fmt.Errorf("is not UTF-8 at byte %d; save it as UTF-8", at)
	}
	root, err := fs.Sub(files, path.Dir(entry))
	return loaded{content: content, root: root, close: func() {}}, err
}

// collector takes the entries of an archive in, within its limits.
type collector struct {
	archive string
	files   memfs.Files
	refused []input
	entries int
	bytes   int64
}

// take reads one entry. Sizes that the archive states are not believed: what
// comes out is counted. An error ends the whole archive.
func (c *collector) take(name string, content func() (io.ReadCloser, error)) error {
	if c.entries++; c.entries > archiveEntries {
		return fmt.Errorf("has more than %d entries, the most an archive may have; split it", archiveEntries)
	}
	if ext := path.Ext(name); ext != extension && ext != ".toml" {
		return nil
	}
	name = strings.TrimPrefix(name, "./")
	if !fs.ValidPath(name) {
		c.refused = append(c.refused, refuse(c.archive+"/"+name, "has a name that leaves the archive; pack it with a relative name")...)
		return nil
	}
	from, err := content()
	if err != nil {
		return damaged(err)
	}
	defer from.Close()
	got, err := io.ReadAll(io.LimitReader(from, planLimit+1))
	if err != nil {
		return damaged(err)
	}
	if len(got) > planLimit {
		c.refused = append(c.refused, refuse(c.archive+"/"+name, "unpacks to more than %d MiB, the most a file may have; split it", planLimit>>20)...)
		return nil
	}
	if c.bytes += int64(len(got)); c.bytes > archiveBytes {
		return fmt.Errorf("unpacks to more than %d MiB of plans, the most an archive may have; split it", archiveBytes>>20)
	}
	c.files[name] = got
	return nil
}

func unpack(name string) (memfs.Files, []input, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, reason(err)
	}
	defer f.Close()
	c := &collector{archive: name, files: memfs.Files{}}
	if strings.HasSuffix(strings.ToLower(name), ".zip") {
		err = c.zip(f)
	} else {
		err = c.tar(f)
	}
	return c.files, c.refused, err
}

func (c *collector) zip(f *os.File) error {
	info, err := f.Stat()
	if err != nil {
		return reason(err)
	}
	archive, err := zip.NewReader(f, info.Size())
	if err != nil {
		return damaged(err)
	}
	for _, entry := range archive.File {
		if !entry.Mode().IsRegular() {
			continue
		}
		if err := c.take(entry.Name, entry.Open); err != nil {
			return err
		}
	}
	return nil
}

func (c *collector) tar(f *os.File) error {
	var from io.Reader = f
	if !strings.HasSuffix(strings.ToLower(c.archive), ".tar") {
		unzipped, err := gzip.NewReader(f)
		if err != nil {
			return damaged(err)
		}
		// entries that are no plans are skipped by unpacking them too
		from = &io.LimitedReader{R: unzipped, N: 4 * archiveBytes}
	}
	archive := tar.NewReader(from)
	for {
		entry, err := archive.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			if limited, ok := from.(*io.LimitedReader); ok && limited.N <= 0 {
				return fmt.Errorf("unpacks to more than %d MiB; pack the plans alone", 4*archiveBytes>>20)
			}
			return damaged(err)
		}
		if entry.Typeflag != tar.TypeReg {
			continue
		}
		if err := c.take(entry.Name, func() (io.ReadCloser, error) { return io.NopCloser(archive), nil }); err != nil {
			return err
		}
	}
}

func damaged(err error) error {
	return fmt.Errorf("cannot be unpacked: %w; pack it anew", err)
}
