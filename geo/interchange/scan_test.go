package interchange

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Source of the rows: RFC 8259 (IETF 2017), sections 2 to 9, and RFC 3629 (UTF-8, IETF 2003), sections 3 and 6.
func TestCheckSaysWhere(t *testing.T) {
	for _, c := range []struct {
		name, text   string
		line, column int
		says         string
		source       string
	}{
		{"cut short in an object", `{"a": 1`, 1, 8, `ends before its closing "}"`, "8259, 4"},
		{"cut short in an array", "[1,\n2", 2, 2, `ends before its closing "]"`, "8259, 5"},
		{"cut short before a value", `{"a":`, 1, 6, "ends where a value should follow", "8259, 4"},
		{"comma too many in an array", "[1,\n ]", 2, 2, "A value should stand here", "8259, 5"},
		{"comma too many in an object", "{\"a\": 1,\n}", 2, 1, "A name in double quotes", "8259, 4"},
		{"comma missing", "[1 2]", 1, 4, `A comma or "]"`, "8259, 5"},
		{"wrong bracket", `{"a": 1]`, 1, 8, `A comma or "}"`, "8259, 4"},
		{"colon missing", `{"a" 1}`, 1, 6, "A colon", "8259, 4"},
		{"name without quotes", `{a: 1}`, 1, 2, "A name in double quotes", "8259, 4"},
		{"single quotes", `['a']`, 1, 2, "A value should stand here", "8259, 7"},
		{"comment", "[ // one\n1]", 1, 3, "A value should stand here", "8259, 2"},
		{"NaN", `[NaN]`, 1, 2, "A value should stand here", "8259, 6"},
		{"Infinity", `[-Infinity]`, 1, 2, "The number here", "8259, 6"},
		{"leading zero", `[01]`, 1, 2, "The number here", "8259, 6"},
		{"no digit after the point", `[1.]`, 1, 2, "The number here", "8259, 6"},
		{"no digit before the point", `[.5]`, 1, 2, "A value should stand here", "8259, 6"},
		{"no digit in the exponent", `[1e+]`, 1, 2, "The number here", "8259, 6"},
		{"plus sign", `[+1]`, 1, 2, "A value should stand here", "8259, 6"},
		{"line break in a text", "[\"a\nb\"]", 1, 4, "a line break", "8259, 7"},
		{"text that never ends", `["a]`, 1, 2, "never ends", "8259, 7"},
		{"unknown escape", `["\x"]`, 1, 3, "The backslash", "8259, 7"},
		{"short escape", `["\u12"]`, 1, 3, "The backslash", "8259, 7"},
		{"two texts", "{}\n{}", 2, 1, "Something follows the end", "8259, 2"},
		{"columns count characters", `["ää" 1]`, 1, 7, "A comma", "8259, 5"},
		{"byte that is not UTF-8", "[\"caf\xe9\"]", 1, 6, "The byte 0xe9", "8259, 8.1; 3629, 3"},
		{"surrogate written as UTF-8", "[\"\xed\xa0\x80\"]", 1, 3, "not UTF-8", "3629, 3"},
		{"UTF-16", "\xff\xfe[\x00", 1, 1, "UTF-16", "3629, 6"},
		{"nothing", "", 1, 1, "ends where a value", "8259, 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := Check([]byte(c.text))
			require.NotNil(t, f, c.source)
			assert.Equal(t, c.line, f.Line, "line")
			assert.Equal(t, c.column, f.Column, "column")
			assert.Contains(t, f.What, c.says)
			assert.NotEmpty(t, f.Mend)
		})
	}
}

func TestCheckDepth(t *testing.T) {
	nest := func(n int) []byte { return []byte(strings.Repeat("[", n) + strings.Repeat("]", n)) }
	assert.Nil(t, Check(nest(MaxDepth)))
	f := Check(nest(MaxDepth + 1))
	require.NotNil(t, f)
	assert.Contains(t, f.What, "more than 100 deep")
	assert.Equal(t, MaxDepth, f.Offset)
	// Ten million brackets cost no stack.
	assert.NotNil(t, Check([]byte(strings.Repeat(`{"a":[`, 5_000_000))))
}

// jsonText draws texts that are JSON or nearly so.
func jsonText() *rapid.Generator[string] {
	tokens := []string{"{", "}", "[", "]", ",", ":", `"a"`, `"é\n"`, `"\ud800"`, "1", "-0.5e3", "true", "null", " ", "\n", "0", "x", `"`, "\xff", "1e999"}
	return rapid.Custom(func(t *rapid.T) string {
		if rapid.Bool().Draw(t, "well formed") {
			return valueText(t, 4)
		}
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom(tokens), 0, 12).Draw(t, "tokens"), "")
	})
}

func valueText(t *rapid.T, deep int) string {
	kind := rapid.IntRange(0, 5).Draw(t, "kind")
	if deep == 0 {
		kind %= 4
	}
	space := rapid.SampledFrom([]string{"", " ", "\n\t"}).Draw(t, "space")
	switch kind {
	case 0:
		return rapid.SampledFrom([]string{"true", "false", "null"}).Draw(t, "word")
	case 1:
		return rapid.SampledFrom([]string{"0", "-1", "2.5", "1e3", "9007199254740993", "1e400"}).Draw(t, "number")
	case 2, 3:
		b, _ := json.Marshal(rapid.String().Draw(t, "text"))
		return string(b)
	}
	n := rapid.IntRange(0, 3).Draw(t, "n")
	parts := make([]string, n)
	for i := range parts {
		parts[i] = space + valueText(t, deep-1) + space
		if kind == 5 {
			parts[i] = space + `"k` + string(rune('a'+i%2)) + `"` + space + ":" + parts[i]
		}
	}
	if kind == 4 {
		return "[" + space + strings.Join(parts, ",") + "]"
	}
	return "{" + space + strings.Join(parts, ",") + "}"
}

// The standard library's reader is the oracle: Check accepts what it accepts, where that is UTF-8 and not too deep.
func TestCheckAgreesWithTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := jsonText().Draw(t, "text")
		want := json.Valid([]byte(text)) && utf8.ValidString(text)
		assert.Equal(t, want, Check([]byte(text)) == nil, "%q", text)
	})
}

// Members and Elements see what the standard library sees, and every span cuts out a value that is valid by itself.
func TestValuesAgreeWithTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(valueText(t, 4))
		require.Nil(t, Check(text))
		compareValue(t, text)
	})
}

func compareValue(t require.TestingT, v []byte) {
	var obj map[string]json.RawMessage
	var arr []json.RawMessage
	switch {
	case IsObject(v):
		require.NoError(t, json.Unmarshal(v, &obj))
		seen := map[string][]byte{}
		for m := range Members(v) {
			seen[string(m.Name)] = m.Value.Of(v)
			compareValue(t, m.Value.Of(v))
		}
		require.Len(t, seen, len(obj))
		for name, want := range obj {
			require.Equal(t, string(want), string(seen[name]))
			require.Equal(t, string(want), string(Find(v, name)), "the last of a name counts, as in the standard library")
		}
	case IsArray(v):
		require.NoError(t, json.Unmarshal(v, &arr))
		require.Equal(t, len(arr), Count(v))
		i := 0
		for s := range Elements(v) {
			require.Equal(t, string(arr[i]), string(s.Of(v)))
			compareValue(t, s.Of(v))
			i++
		}
	case len(v) > 0 && v[0] == '"':
		var want string
		require.NoError(t, json.Unmarshal(v, &want))
		got, ok := Text(v)
		require.True(t, ok)
		require.Equal(t, want, got)
	default:
		require.True(t, json.Valid(v))
	}
}
