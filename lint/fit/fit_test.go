package fit_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"crownweir/lint/codebook"
	"crownweir/lint/fit"
)

// rooms is a plan of two copies, one of which has a run of its own.
const rooms = `plan "Gadwall Mews?"   # why not?
code upc-2021
default drain abs
default fall 1/4
level ground at 0'
roof at 12'
room r on ground
outfall SEW at -5'
terminal V1 roof rise 12" opening 12'
typical bath
fixture WC water-closet
fixture LV lavatory
drain LV to p1 ?: trap, south 2'
vent p1 to v ?: up to 44"
drain p1 to p2 ?: down to p2
drain WC to p2 ?: down 10", north 2'
drain p2 to out ?: down 4", east 2'
end
place bath as B1..B3 in r on ground
except B2 drain LV to p1 ?: trap ?, south 4'   # ? is asked for twice
vent B1.v..B3.v ?: over 6'
vent B3.v to V1 ?: up to roof
fitting d1 at -2'6"
drain B1.out to d1 ?: down to suit
drain B2.out to d2 ?: down to suit
drain B3.out to d3 ?: down to suit
drain d1..d3 ?: cleanout, east 12'
sewer d3 to SEW ?: cleanout, east 20'
`

func solve(t *testing.T, src string, opts fit.Options) *fit.Result {
	t.Helper()
	r, err := fit.Solve(context.Background(), fstest.MapFS{"a.weir": {Data: []byte(src)}}, "a.weir", opts)
	require.NoError(t, err)
	return r
}

func sizeOf(t *testing.T, r *fit.Result, what string) fit.Size {
	t.Helper()
	for _, z := range r.Sizes {
		if z.What == what {
			return z
		}
	}
	require.Fail(t, "no size", "%s of %v", what, sizes(r))
	return fit.Size{}
}

// One `?` is one size for every copy and link; an exception has its own.
func TestOneQuestionIsOneSize(t *testing.T) {
	r := solve(t, rooms, fit.Options{})
	require.Empty(t, r.Left)
	assert.Equal(t, 3, sizeOf(t, r, "drain WC to p2").For)
	assert.Equal(t, 2, sizeOf(t, r, "drain d1..d3").For)
	assert.Equal(t, 2, sizeOf(t, r, "drain LV to p1").For, "the third copy has an exception")
	assert.Equal(t, `1-1/4"`, sizeOf(t, r, "drain LV to p1").Text)
	assert.Equal(t, `2"`, sizeOf(t, r, "trap in drain LV to p1").Text, "its arm is four feet; 1-1/2 allows 3'6")
	text := r.Texts["a.weir"]
	assert.Contains(t, text, "plan \"Gadwall Mews?\"   # why not?\n")
	assert.Contains(t, text, "except B2 drain LV to p1 2\": trap 2\", south 4'   # ? is asked for twice\n")
	assert.Equal(t, 3, strings.Count(text, "?"), "the title's, the comments', and no other")
}

// Line ends and the mark of another system stay.
func TestLineEndsStay(t *testing.T) {
	dos := "\ufeff" + strings.ReplaceAll(rooms, "\n", "\r\n")
	r := solve(t, dos, fit.Options{})
	assert.Equal(t, "\ufeff"+strings.ReplaceAll(solve(t, rooms, fit.Options{}).Texts["a.weir"], "\n", "\r\n"), r.Texts["a.weir"])
}

// A city's least is a size's too.
func TestAmendments(t *testing.T) {
	city := "[amendment]\ntitle = \"Mossbridge ordinance\"\nsection = \"MMC 15\"\n[numbers]\ncloset-drain-least = 4\n"
	fsys := fstest.MapFS{"a.weir": {Data: []byte(rooms)}, "city.toml": {Data: []byte(city)}}
	r, err := fit.Solve(context.Background(), fsys, "a.weir", fit.Options{Amend: []string{"city.toml"}, Explain: true})
	require.NoError(t, err)
	z := sizeOf(t, r, "drain WC to p2")
	assert.Equal(t, `4"`, z.Text)
	assert.Equal(t, "small-closet-drain", z.Bound.Rule)
	assert.Equal(t, []string{"city.toml"}, r.Book.Amendments)
}

// The book is the caller's where he hands one.
func TestOwnBook(t *testing.T) {
	asked := ""
	r := solve(t, rooms, fit.Options{Book: "ipc-2021", Load: func(name string) (*codebook.Book, error) {
		asked = name
		return codebook.Load(name)
	}})
	assert.Equal(t, "ipc-2021", asked)
	assert.Equal(t, "ipc-2021", r.Book.Name)
}

func TestUnread(t *testing.T) {
	r, err := fit.Solve(context.Background(), fstest.MapFS{}, "a.weir", fit.Options{})
	require.NoError(t, err)
	assert.Equal(t, "does not exist", r.Unread)
	assert.Equal(t, "is empty; write a plan, or start from `crownweir new`", solve(t, "\n", fit.Options{}).Unread)
}
