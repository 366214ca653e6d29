package interchange

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A GeoPackage with bytes changed in the text of its tables is read or refused in words that can be printed: none of its bytes get into
// them, and no machine's words.
func TestDamagedGeoPackage(t *testing.T) {
	good := packageOf(t, "CREATE TABLE far (fid INTEGER PRIMARY KEY, geom BLOB);")
	at := bytes.Index(good, []byte("CREATE TABLE"))
	require.Greater(t, at, 0)
	refused := 0
	rapid.Check(t, func(t *rapid.T) {
		data := bytes.Clone(good)
		for range rapid.IntRange(1, 20).Draw(t, "bytes") {
			data[rapid.IntRange(0, min(len(data), 12_000)-1).Draw(t, "where")] = rapid.Byte().Draw(t, "what")
		}
		data[at+rapid.IntRange(0, 5).Draw(t, "in the word")] = rapid.SampledFrom([]byte{0x1b, 0x9b, 0xad, 7, 'x'}).Draw(t, "byte")
		b, f := ReadGeoPackage(context.Background(), data, nil)
		if f == nil {
			require.NotNil(t, b)
			return
		}
		refused++
		said := f.Error() + f.Mend
		assert.True(t, utf8.ValidString(said), "%q", said)
		assert.False(t, strings.ContainsFunc(said, unicode.IsControl), "%q", said)
		assert.NotContains(t, strings.ToLower(said), "error")
	})
	assert.Positive(t, refused)
}
