package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type linked struct {
	Links []link
}

func (l linked) rel(rel string) *link {
	for i := range l.Links {
		if l.Links[i].Rel == rel {
			return &l.Links[i]
		}
	}
	return nil
}

// From the landing page everything is found by following links (OGC 17-069r4, 2022, 7.2, 7.13 to 7.16).
func TestFollowingTheLinks(t *testing.T) {
	p := serve(t, Options{})
	follow := func(l *link, v any) answer {
		t.Helper()
		require.NotNil(t, l)
		require.True(t, strings.HasPrefix(l.Href, p.at), l.Href)
		a := p.ask("GET", strings.TrimPrefix(l.Href, p.at), nil).is(http.StatusOK).into(v)
		assert.Equal(t, l.Type, a.header.Get("Content-Type"), l.Href)
		return a
	}
	var landing linked
	p.ask("GET", "/api", nil).is(http.StatusOK).into(&landing)
	var claims struct{ ConformsTo []string }
	follow(landing.rel("conformance"), &claims)
	assert.Equal(t, conformsTo, claims.ConformsTo)

	var all struct {
		linked
		Collections []struct {
			linked
			ID, Title string
			Extent    *extent
		}
	}
	follow(landing.rel("data"), &all)
	require.NotNil(t, all.rel("self"))
	require.Len(t, all.Collections, 1)
	c := all.Collections[0]
	assert.Equal(t, "demo", c.ID)
	assert.Equal(t, "Sallow Bank", c.Title)
	require.NotNil(t, c.Extent)
	require.Len(t, c.Extent.Spatial.BBox, 1, "an array of arrays")
	box := c.Extent.Spatial.BBox[0]
	assert.Less(t, box[0], box[2])
	assert.Less(t, box[1], box[3])
	follow(c.rel("self"), &struct{}{})

	var items struct {
		linked
		Type                          string
		NumberMatched, NumberReturned int
		Features                      []struct {
			ID         string
			Type       string
			Properties map[string]any
			Geometry   struct {
				Coordinates json.RawMessage
			}
		}
	}
	follow(c.rel("items"), &items)
	assert.Equal(t, "FeatureCollection", items.Type)
	assert.Equal(t, len(items.Features), items.NumberMatched)
	assert.Equal(t, len(items.Features), items.NumberReturned)
	assert.Len(t, items.Features, len(p.sheetOf("demo").Features))
	require.NotNil(t, items.rel("self"))
	for _, f := range items.Features {
		var one struct {
			linked
			ID, Type string
		}
		p.ask("GET", "/api/collections/demo/items/"+url.PathEscape(f.ID), nil).is(http.StatusOK).into(&one)
		assert.Equal(t, f.ID, one.ID)
		assert.Equal(t, "Feature", one.Type)
		follow(one.rel("self"), &struct{}{})
		follow(one.rel("collection"), &struct{}{})
	}
}

func TestUnknownParametersAndNames(t *testing.T) {
	p := serve(t, Options{})
	for _, path := range []string{"/api", "/api/conformance", "/api/collections", "/api/collections/demo", "/api/collections/demo/items"} {
		assert.Equal(t, "foo", p.ask("GET", path+"?foo=1", nil).problem(malformed).Property)
		p.ask("GET", path+"?%zz", nil).problem(malformed)
		p.ask("GET", path+"?f=json", nil).is(http.StatusOK)
	}
	p.ask("GET", "/api/collections/none", nil).problem(unknown)
	p.ask("GET", "/api/collections/none/items", nil).problem(unknown)
	p.ask("GET", "/api/collections/demo/items/none", nil).problem(unknown)
	p.ask("POST", "/api/collections/demo/items", "{}").problem(noMethod)
}

// Features without an id in the file, numbers for ids, and what is no feature at all.
func TestItemsOfAnUntidyFile(t *testing.T) {
	p := serve(t, Options{})
	where := p.ask("POST", "/holdings", `{"type":"FeatureCollection","holding":{"name":"untidy"},"features":[
		{"type":"Feature","properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[-2.5,54]}},
		{"type":"Feature","id":7,"properties":null,"geometry":null}, 12, {"type":"Polygon","id":"p"}]}`).is(http.StatusCreated).header.Get("Location")
	id := strings.TrimPrefix(where, "/holdings/")
	var items struct {
		Features []struct {
			ID   any
			Type string
		}
		NumberMatched int
	}
	p.ask("GET", "/api/collections/"+id+"/items", nil).is(http.StatusOK).into(&items)
	require.Len(t, items.Features, 2)
	assert.Equal(t, 2, items.NumberMatched)
	for _, f := range items.Features {
		assert.NotNil(t, f.ID)
		assert.Equal(t, "Feature", f.Type)
	}
	p.ask("GET", "/api/collections/"+id+"/items/7", nil).is(http.StatusOK)
	p.ask("GET", "/api/collections/"+id+"/items/p", nil).problem(unknown)
}
