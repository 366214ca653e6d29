package planner

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
)

// FuzzProperties reads any properties of any kind, and any holding: nothing panics, what is wrong is reported, numbers are within the bounds of
// the table, and the fields written out read as the same fields.
func FuzzProperties(f *testing.F) {
	for _, s := range []string{
		`"species":"oak","height_m":2.5`, `"mix":[{"species":"a","share_percent":60},{"species":"b","share_percent":40}],"rows":2,"cut_in":[2027,{"winter":2030,"from_m":1,"to_m":2}]`,
		`"rows":[{"species":"alder","spacing_m":2},{"mix":[{"species":"a","share_percent":100}]}],"protects":["a",7]`, `"trees":[{"species":"apple","count":3}],"bearing_deg":"auto"`,
		`"moisture":"wet","sward":["rush",{"species":"sedge","percent":4}],"grazed_by":["sheep"],"shrinkable":true`, `"name":null,"planted":2026,"status":"planned","area":12`,
		`"origin":[-2.6,54.2],"wind_rose":[{"from_deg":1,"percent":2,"speed_m_s":3}],"limits":{"a":{"b":{"value":1,"reason":"c"}}},"accepted":[{"key":"k"}],"chip_use":{"paths_m3":1}`,
		`"rows":1e400,"height_m":-0,"mix":[[]],"x":"\ud800"`, `"dwelling":"yes","dwelling":"no"`,
	} {
		for i := range 3 {
			f.Add(uint8(i*9+5), s)
		}
	}
	kinds := Kinds()
	f.Fuzz(func(t *testing.T, n uint8, props string) {
		k := kinds[int(n)%len(kinds)]
		text := `{"type":"FeatureCollection","features":[{"type":"Feature","id":"x","geometry":` + drawn(k.Kind) + `,"properties":{` + props + `,"kind":"` + string(k.Kind) + `"}}],"holding":{` + props + `}}`
		p, err := Read([]byte(text), ReadOptions{})
		if err != nil || len(p.Features) != 1 || p.Features[0].ID != "x" || p.Features[0].Kind != k.Kind {
			return // the text closed a brace too many, or is no JSON
		}
		x := p.Features[0]
		for _, prop := range append(CommonProps(), k.Props...) {
			if x.Stated(prop.Name) && x.Wrong(prop.Name) && prop.Type != TypeMix && prop.Type != TypeTrees && prop.Type != TypeSpecies {
				t.Fatalf("%s is both understood and not", prop.Name)
			}
		}
		for _, fault := range p.Faults {
			if fault.Message == "" || fault.Rule == "" || len(fault.Message) > 3000 {
				t.Fatalf("%+v", fault)
			}
		}
		if len(x.wrong) > 0 {
			return // a wrong property is not in the fields
		}
		out, err := encodeProperties(x)
		if err != nil {
			t.Fatal(err)
		}
		q, err := Read([]byte(file(`{"type":"Feature","id":"x","geometry":`+drawn(k.Kind)+`,"properties":`+string(out)+`}`)), ReadOptions{})
		if err != nil {
			t.Fatalf("%v in %s", err, out)
		}
		a, _ := json.Marshal(x.Detail)
		b, _ := json.Marshal(q.Features[0].Detail)
		if !bytes.Equal(a, b) || x.Status != q.Features[0].Status {
			t.Fatalf("%s\n%s\nfrom %s", a, b, out)
		}
	})
}

// FuzzRead reads any file at all. Whatever is read can be written, and what was written is read as the same plan and written as
// the same bytes; every feature can be deleted and put back; sound features have finite coordinates.
func FuzzRead(f *testing.F) {
	example, err := os.ReadFile("../testdata/worked-example.geojson")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(example)
	for _, s := range []string{
		file(someField, someOak, "5", someOak), "\xef\xbb\xbf" + file(), `{"type":"FeatureCollection","features":[ ],"holding":{"origin":[0,0]}}`,
		file(feature("a", "hedge", `{"type":"MultiLineString","coordinates":[[[0,0],[0,0.001,5]],[]]}`), feature("a", "beehive", at(0, 0))),
		file(feature("p", "parcel", `{"type":"Polygon","coordinates":[[[0,0],[0,0.001],[0.001,0.001],[0.001,0]],[[0,0],[1e-5,1e-5],[0,1e-5]]]}`)),
		`{"type":"FeatureCollection","holding":{"origin":[10,10]},"features":[` + feature("a", "plant", at(0, 0)) + `],"holding":null}`,
		file(feature("a", "plant", at(179.9999, 0)), feature("b", "plant", at(0, 89.9999))),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		p, err := Read(slices.Clone(data), ReadOptions{})
		if err != nil {
			if p != nil || err.Error() == "" {
				t.Fatalf("refused with %v and %v", p, err)
			}
			return
		}
		first := writeOrFail(t, p)
		q, err := Read(first, ReadOptions{})
		if err != nil {
			t.Fatalf("what was written is refused: %v\n%s", err, first)
		}
		if second := writeOrFail(t, q); !bytes.Equal(first, second) {
			t.Fatalf("%s\n%s", first, second)
		}
		if !slices.Equal(ids(p), ids(q)) || p.doc.placeable && p.Frame.Origin() != q.Frame.Origin() {
			t.Fatalf("%v %v", ids(p), ids(q))
		}
		kept(t, data, first)
		for _, x := range p.Features {
			checkFeature(t, p, x)
		}
		if len(p.Features) > 0 {
			x := p.Features[len(data)%len(p.Features)]
			next, back, err := p.Apply(Edit{Delete: []string{x.ID}})
			if err != nil {
				return // without it the rest may be too far apart
			}
			again, _, err := next.Apply(back)
			if err != nil {
				t.Fatal(err)
			}
			if third := writeOrFail(t, again); !bytes.Equal(first, third) {
				t.Fatalf("%s\n%s", first, third)
			}
		}
	})
}

func writeOrFail(t *testing.T, p *Plan) []byte {
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// kept checks that every entry of the features that were read stands in what was written, byte for byte.
func kept(t *testing.T, data, written []byte) {
	c, bad := interchange.ReadCollection(data)
	if bad != nil {
		t.Fatal(bad)
	}
	arr := c.Array.Of(c.Text)
	for s := range interchange.Elements(arr) {
		if !bytes.Contains(written, s.Of(arr)) {
			t.Fatalf("lost: %s", s.Of(arr))
		}
	}
}

func checkFeature(t *testing.T, p *Plan, x *Feature) {
	if x.ID == "" || p.Feature(x.ID) != x {
		t.Fatalf("id %q", x.ID)
	}
	if x.Sound && x.Shape.Empty() {
		t.Fatalf("%s is sound and empty", x.ID)
	}
	if !x.Sound {
		return
	}
	each(x.Shape, func(q orb.Point) {
		if math.IsNaN(q[0]+q[1]) || math.Abs(q[0])+math.Abs(q[1]) > 1e6 {
			t.Fatalf("%s at %v", x.ID, q)
		}
	})
	raw, err := p.Reshape(x, x.Shape)
	if err != nil || !json.Valid(raw) {
		t.Fatalf("%v %s", err, raw)
	}
	raw, err = p.Change(x, map[string]any{"notes": "x"}, "name")
	if err != nil || !json.Valid(raw) || rawID(raw) != x.ID {
		t.Fatalf("%v %s", err, raw)
	}
}
