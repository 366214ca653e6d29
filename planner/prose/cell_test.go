package prose

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCellsThatASpreadsheetWouldRunAreInert(t *testing.T) {
	// OWASP Application Security Verification Standard 5.0, 1.2.10, and CWE-1236: = + - @ tab CR LF NUL, and full-width = + - @.
	for _, s := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\x00=1", "\uff1d1", "\uff0b1", "\uff0d1", "\uff201", "  =1", "\u200b=1", "\u202e=1"} {
		assert.Equal(t, "'"+s, Inert(s), "%q", s)
	}
	for _, s := range []string{"", "hawthorn", "6-8 m", "a=b", "'=1"} {
		assert.Equal(t, s, Inert(s), "%q", s)
	}
	assert.Equal(t, "", Cell(""))
	assert.Equal(t, `"Cox's ""Orange"" Pippin"`, Cell(`Cox's "Orange" Pippin`))
	assert.Equal(t, `"'=cmd|' /C calc'!A0"`, Cell(`=cmd|' /C calc'!A0`))
}
