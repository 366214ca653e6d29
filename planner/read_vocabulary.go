package planner

import (
	"reflect"
)

// kindInfo is a row of the table of kinds made ready for reading: which property goes into which field.
type kindInfo struct {
	spec   KindSpec
	props  []Prop // the common ones, then the kind's own
	fields [][]int
	index  map[string]int // of a property's name in props
}

// vocabulary is the table in that form. It is made once and never changed.
var vocabulary = struct {
	kinds   map[string]*kindInfo
	common  *kindInfo // of a feature whose kind is not in the table
	holding *kindInfo
}{kinds: kindInfos(), common: newKindInfo(KindSpec{}, nil), holding: holdingInfo()}

func kindInfos() map[string]*kindInfo {
	out := map[string]*kindInfo{}
	for _, s := range Kinds() {
		out[string(s.Kind)] = newKindInfo(s, s.New())
	}
	return out
}

func newKindInfo(s KindSpec, detail any) *kindInfo {
	info := &kindInfo{spec: s, props: append(CommonProps(), s.Props...), index: map[string]int{}}
	fields := map[string][]int{}
	propFields(reflect.TypeFor[Feature](), nil, fields)
	if detail != nil {
		propFields(reflect.TypeOf(detail).Elem(), nil, fields)
	}
	for i, p := range info.props {
		info.index[p.Name] = i
		info.fields = append(info.fields, fields[p.Name])
	}
	return info
}

func holdingInfo() *kindInfo {
	info := &kindInfo{props: HoldingProps(), index: map[string]int{}}
	fields := map[string][]int{}
	propFields(reflect.TypeFor[Holding](), nil, fields)
	for i, p := range info.props {
		info.index[p.Name] = i
		info.fields = append(info.fields, fields[p.Name])
	}
	return info
}

// propFields finds the fields with a `prop` tag, those of embedded structs too.
func propFields(t reflect.Type, path []int, out map[string][]int) {
	for i := range t.NumField() {
		f := t.Field(i)
		at := append(append([]int(nil), path...), i)
		if name := f.Tag.Get("prop"); name != "" {
			out[name] = at
		} else if f.Anonymous && f.Type.Kind() == reflect.Struct {
			propFields(f.Type, at, out)
		}
	}
}

// isCommon reports whether property i of a kind is one that every feature may have.
func isCommon(i int) bool { return i < commonCount }

var commonCount = len(CommonProps())

// put sets a field to the value that readValue gave for its property.
func put(target reflect.Value, field []int, v any) {
	if field == nil {
		return
	}
	f := target.FieldByIndex(field)
	x := reflect.ValueOf(v)
	if !x.IsValid() {
		f.SetZero()
		return
	}
	if x.Type() != f.Type() && x.Type().ConvertibleTo(f.Type()) {
		x = x.Convert(f.Type())
	}
	f.Set(x)
}
