package lists

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// LibreOffice opens the spreadsheet and writes its first sheet as CSV: the order, with the same names and numbers. It is a large
// program, so this is of the long tests.
func TestLibreOfficeOpensTheSpreadsheet(t *testing.T) {
	if os.Getenv("QUICKTHORN_LONG") == "" {
		t.Skip("one of the long tests")
	}
	office, err := exec.LookPath("soffice")
	require.NoError(t, err, "make test-long installs libreoffice-calc")
	l := smallList()
	var b bytes.Buffer
	require.NoError(t, WriteXLSX(&b, l, Options{}))
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "list.xlsx"), b.Bytes(), 0o600))
	run := exec.Command(office, "--headless", "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--convert-to", "csv", "--outdir", dir, filepath.Join(dir, "list.xlsx"))
	out, err := run.CombinedOutput()
	require.NoError(t, err, "%s", out)
	file, err := os.Open(filepath.Join(dir, "list.csv"))
	require.NoError(t, err, "%s", out)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(l.Order)+1)
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for i, o := range l.Order {
		assert.Equal(t, o.Species, rows[i+1][column["species"]])
		for name, want := range map[string]int{"plants": o.Plants, "spare": o.Spare, "order": o.Order} {
			got, err := strconv.Atoi(rows[i+1][column[name]])
			require.NoError(t, err, "%s of %s is a number", name, o.Species)
			assert.Equal(t, want, got, "%s of %s", name, o.Species)
		}
	}
}
