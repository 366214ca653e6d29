package species

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func catalogue(t testing.TB) *Catalogue {
	t.Helper()
	c, err := Default()
	require.NoError(t, err)
	return c
}

// find is the species of a name that must be known.
func find(t testing.TB, name string) *Species {
	t.Helper()
	m := catalogue(t).Find(name)
	require.NotNil(t, m.Species, "%s is not found", name)
	return m.Species
}

// fruiting is "apple" or "apple/Discovery", which must be known.
func fruiting(t testing.TB, species, cultivar string) Fruiting {
	t.Helper()
	f := Fruiting{Species: find(t, species)}
	if cultivar != "" {
		v, nearest := catalogue(t).Cultivar(f.Species, cultivar)
		require.NotNil(t, v, "%s is not found, nearest %v", cultivar, nearest)
		f.Species, f.Cultivar = v.Species, v
	}
	return f
}
