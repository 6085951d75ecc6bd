package settings

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		file := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(content), 0o644))
	}
	return dir
}

var words = Words{Rules: []string{"odd-height", "long-trap-arm"}, Books: []string{"ipc-2021", "upc-2021"}}

func TestRead(t *testing.T) {
	dir := folder(t, map[string]string{
		"a/crownweir.toml": "code = \"ipc-2021\"\namend = [\"../city.toml\"]\nfail-on = \"never\"\nonly = [\"long-trap-arm\"]\n" +
			"skip = [\"odd-height\"]\nexclude = [\"drafts\"]\n[severity]\nodd-height = \"off\"\n",
		"city.toml": "# amendments\n",
	})
	s, err := words.Read(filepath.Join(dir, "a", File))
	require.NoError(t, err)
	assert.Equal(t, "ipc-2021", s.Code)
	assert.Equal(t, "never", s.FailOn)
	assert.Equal(t, map[string]string{"odd-height": "off"}, s.Severity)
	assert.Equal(t, filepath.Join(dir, "a"), s.Folder)
	require.Len(t, s.Amendments, 1)
	files, paths, names := Lay(s.Amendments)
	assert.Equal(t, []string{"amendment-1/city.toml"}, paths)
	assert.Equal(t, "# amendments\n", string(files[paths[0]]))
	assert.Equal(t, s.Amendments[0].Name, names[paths[0]])
	assert.True(t, s.Excludes(filepath.Join(dir, "a", "drafts", "x.weir")))
	assert.False(t, s.Excludes(filepath.Join(dir, "a", "x.weir")))
	assert.False(t, (*Settings)(nil).Excludes("x.weir"))
}

// The schema has the settings there are, each with its words and with what it
// does; whatever else is written is wrong to it as it is to the program.
func TestSchema(t *testing.T) {
	text, err := words.Schema()
	require.NoError(t, err)
	type form struct {
		Type, Description    string
		Enum                 []string
		Items                *form
		Properties           map[string]form
		AdditionalProperties *bool
	}
	var schema form
	require.NoError(t, json.Unmarshal(text, &schema))
	var tags, keys []string
	for i := range reflect.TypeFor[Settings]().NumField() {
		if tag := reflect.TypeFor[Settings]().Field(i).Tag.Get("toml"); tag != "-" {
			tags = append(tags, tag)
		}
	}
	for key, p := range schema.Properties {
		keys = append(keys, key)
		assert.NotEmpty(t, p.Description, key)
	}
	assert.ElementsMatch(t, tags, keys)
	require.NotNil(t, schema.AdditionalProperties)
	assert.False(t, *schema.AdditionalProperties)
	assert.Equal(t, words.Books, schema.Properties["code"].Enum)
	assert.Equal(t, words.Rules, schema.Properties["skip"].Items.Enum)
	severity := schema.Properties["severity"]
	assert.False(t, *severity.AdditionalProperties)
	for _, rule := range words.Rules {
		for _, word := range severity.Properties[rule].Enum {
			dir := folder(t, map[string]string{File: "[severity]\n" + rule + " = \"" + word + "\"\n"})
			_, err := words.Read(filepath.Join(dir, File))
			assert.NoError(t, err, "the program takes what the schema lists")
		}
	}
}

func TestWrongHasItsPlace(t *testing.T) {
	for source, want := range map[string]Wrong{
		"code = \n":                             {Line: 1, Column: 8, Text: "write it as TOML"},
		"\ncod = \"upc-2021\"\n":                {Line: 2, Column: 1, Text: "there is no setting \"cod\"; did you mean \"code\""},
		"only = \"x\"\n":                        {Line: 1, Column: 8, Text: "only takes a list of rules"},
		"# café\nskip = [\"odd-hight\"]\n":      {Line: 2, Column: 10, Text: "there is no rule \"odd-hight\"; did you mean \"odd-height\""},
		"[severity]\nodd-height = \"error\"\n":  {Line: 2, Column: 15, Text: "severity has no \"error\"; use correction, caution, advice or off"},
		"amend = [\"city.toml\", \"b.toml\"]\n": {Line: 1, Column: 11, Text: "amend \"city.toml\": does not exist; check the name"},
		"amend = [\".\"]\n":                     {Line: 1, Column: 11, Text: "is a folder; name an amendment file"},
	} {
		dir := folder(t, map[string]string{File: source})
		s, err := words.Read(filepath.Join(dir, File))
		assert.Nil(t, s, source)
		var wrong *Wrong
		require.True(t, errors.As(err, &wrong), source)
		assert.Equal(t, filepath.Join(dir, File), wrong.File)
		assert.Equal(t, [2]int{want.Line, want.Column}, [2]int{wrong.Line, wrong.Column}, source)
		assert.Contains(t, wrong.Text, want.Text, source)
	}
	_, err := words.Read(filepath.Join(t.TempDir(), File))
	assert.ErrorContains(t, err, "does not exist")
	_, err = words.Read(filepath.Join(folder(t, map[string]string{File: strings.Repeat("\n", MostBytes+1)}), File))
	assert.ErrorContains(t, err, "is larger than 16 MiB")
}

func TestFindLooksUpwards(t *testing.T) {
	dir := folder(t, map[string]string{File: "", "a/b/c/x.weir": "", "a/crownweir.toml/no": ""})
	file, looked := Find(filepath.Join(dir, "a", "b", "c"))
	assert.Equal(t, filepath.Join(dir, File), file, "a folder of that name is none")
	assert.Equal(t, []string{
		filepath.Join(dir, "a", "b", "c", File), filepath.Join(dir, "a", "b", File), filepath.Join(dir, "a", File), filepath.Join(dir, File),
	}, looked)
}

func TestList(t *testing.T) {
	assert.Equal(t, "", List(nil))
	assert.Equal(t, "a", List([]string{"a"}))
	assert.Equal(t, "a, b or c", List([]string{"a", "b", "c"}))
	assert.EqualError(t, OneOf("code", "upc-2020", words.Books...), "code has no \"upc-2020\"; did you mean \"upc-2021\"; use ipc-2021 or upc-2021")
	assert.NoError(t, OneOf("code", "upc-2021", words.Books...))
}
