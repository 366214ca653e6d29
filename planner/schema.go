package planner

import (
	"encoding/json"
)

// Schema is the vocabulary of the plan file as a JSON Schema (2020-12), made from Kinds, CommonProps and HoldingProps, the same
// table that files are read with. It says what a clean file looks like: unknown properties and kinds are allowed, null stands
// for "not given". What it cannot say - sums of shares, rings that cross themselves, one way of naming what is planted - the
// reader says.
func Schema() []byte {
	kinds := []any{}
	names := []any{}
	for _, s := range Kinds() {
		names = append(names, string(s.Kind))
		kinds = append(kinds, kindSchema(s))
	}
	common := propsSchema(CommonProps())
	common["kind"] = schema{"type": "string", "description": "what the feature is; other kinds are kept, drawn in grey and not worked with", "examples": names}
	doc := schema{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"title":       "Quickthorn plan file",
		"description": "One holding as a GeoJSON FeatureCollection (RFC 7946): longitude and latitude on WGS 84, in degrees. Units end the names of numbers; bearings are clockwise from true north; a winter is named by the year it starts in.",
		"type":        "object",
		"required":    []any{"type", "features"},
		"properties": schema{
			"type":     schema{"const": "FeatureCollection"},
			"features": schema{"type": "array", "items": schema{"$ref": "#/$defs/feature"}},
			"holding":  schema{"type": []any{"object", "null"}, "properties": propsSchema(HoldingProps())},
		},
		"$defs": schema{
			"feature": schema{
				"type":     "object",
				"required": []any{"type", "properties", "geometry"},
				"properties": schema{
					"type":       schema{"const": "Feature"},
					"id":         schema{"type": []any{"string", "number"}},
					"properties": schema{"type": []any{"object", "null"}, "properties": common},
					"geometry":   schema{"anyOf": []any{schema{"type": "null"}, schema{"$ref": "#/$defs/geometry"}}},
				},
				"allOf": kinds,
			},
			"geometry": geometrySchema(),
			"position": positionSchema(),
			"share":    shareSchema(),
		},
	}
	text, err := json.MarshalIndent(doc, "", " ")
	if err != nil {
		panic(err) // only maps, lists, texts and numbers are in it
	}
	return append(text, '\n')
}

type schema = map[string]any

// kindSchema says of features of the kind how they are drawn and what their properties may be.
func kindSchema(s KindSpec) schema {
	types := []any{}
	for _, g := range s.Geometries {
		types = append(types, g)
	}
	kind := schema{"required": []any{"properties"}, "properties": schema{"properties": schema{
		"type": "object", "required": []any{"kind"}, "properties": schema{"kind": schema{"const": string(s.Kind)}}}}}
	return schema{
		"if": kind,
		"then": schema{
			"title": s.Title, "description": s.Help,
			"properties": schema{
				"properties": schema{"properties": propsSchema(s.Props)},
				"geometry":   schema{"anyOf": []any{schema{"type": "null"}, schema{"properties": schema{"type": schema{"enum": types}}}}},
			},
		},
	}
}

func propsSchema(props []Prop) schema {
	out := schema{}
	for _, p := range props {
		v := valueSchema(p)
		v["description"] = p.Help
		if p.Unit != "" {
			v["description"] = p.Help + " (" + p.Unit + ")"
		}
		switch {
		case p.Default != nil:
			v["default"] = p.Default
		case p.Else != "":
			v["description"] = v["description"].(string) + "; not given: " + p.Else
		}
		out[p.Name] = v
	}
	return out
}

// valueSchema is what a property may be. null is allowed everywhere: other editors write it for what is not given.
func valueSchema(p Prop) schema {
	switch p.Type {
	case TypeNumber:
		return limited(schema{"type": []any{"number", "null"}}, p)
	case TypeInteger:
		return limited(schema{"type": []any{"integer", "null"}}, p)
	case TypeWinter:
		return schema{"type": []any{"integer", "null"}, "minimum": firstWinter, "maximum": lastWinter}
	case TypeBearing:
		if p.Default == "auto" {
			return schema{"anyOf": []any{schema{"type": []any{"number", "null"}, "minimum": 0, "maximum": 360}, schema{"const": "auto"}}}
		}
		return schema{"type": []any{"number", "null"}, "minimum": 0, "maximum": 360}
	case TypeText:
		return schema{"type": []any{"string", "null"}}
	case TypeSpecies:
		return schema{"type": []any{"string", "null"}, "pattern": `\S`}
	case TypeID:
		return schema{"type": []any{"string", "number", "null"}, "minLength": 1}
	case TypeYesNo:
		return schema{"enum": []any{true, false, "yes", "no", nil}}
	case TypeChoice:
		return schema{"enum": choices(p, true)}
	}
	v := listSchema(p)
	v["type"] = []any{v["type"], "null"}
	return v
}

// choices are the allowed words; null besides where an absent value may be written so.
func choices(p Prop, null bool) []any {
	out := []any{}
	yes := false
	for _, a := range p.Allowed {
		out = append(out, a)
		yes = yes || a == "yes"
	}
	if yes {
		out = append(out, true, false)
	}
	if null {
		out = append(out, nil)
	}
	return out
}

func limited(v schema, p Prop) schema {
	if p.Least != 0 || p.Most != 0 {
		v["minimum"], v["maximum"] = p.Least, p.Most
	}
	return v
}

func number(least, most float64) schema {
	return schema{"type": []any{"number", "null"}, "minimum": least, "maximum": most}
}

func named() schema { return schema{"type": "string", "pattern": `\S`} }

func text() schema { return schema{"type": []any{"string", "null"}} }

func listOf(items schema) schema {
	return schema{"type": "array", "maxItems": maxEntries, "items": items}
}

func record(required []any, members schema) schema {
	return schema{"type": "object", "required": required, "properties": members}
}

func listSchema(p Prop) schema {
	switch p.Type {
	case TypeChoices:
		v := listOf(schema{"enum": choices(p, false)})
		v["uniqueItems"] = true
		return v
	case TypeIDs:
		return listOf(schema{"type": []any{"string", "number"}, "minLength": 1})
	case TypeMix:
		v := listOf(schema{"$ref": "#/$defs/share"})
		v["minItems"] = 1
		return v
	case TypeTrees:
		v := listOf(record([]any{"species"}, schema{"species": named(), "cultivar": text(), "rootstock": text(), "form": text(),
			"count": schema{"type": []any{"integer", "null"}, "minimum": 0, "maximum": 1_000_000}, "share_percent": number(0, 100)}))
		v["minItems"] = 1
		return v
	case TypeRows:
		row := record([]any{}, schema{"species": schema{"type": []any{"string", "null"}, "pattern": `\S`}, "spacing_m": number(0.1, 50),
			"mix": schema{"type": []any{"array", "null"}, "minItems": 1, "items": schema{"$ref": "#/$defs/share"}}})
		row["anyOf"] = []any{schema{"required": []any{"species"}}, schema{"required": []any{"mix"}}}
		return listOf(row)
	case TypeCuts:
		winter := schema{"type": "integer", "minimum": firstWinter, "maximum": lastWinter}
		part := record([]any{"winter"}, schema{"winter": winter, "from_m": number(0, 100_000), "to_m": number(0, 100_000)})
		return listOf(schema{"anyOf": []any{winter, part}})
	case TypeSward:
		return listOf(schema{"anyOf": []any{named(), record([]any{"species"}, schema{"species": named(), "percent": number(0, 100)})}})
	}
	return holdingSchema(p)
}

func holdingSchema(p Prop) schema {
	switch p.Type {
	case TypePosition:
		v := positionSchema()
		v["type"] = "array"
		return v
	case TypeWindRose:
		arm := schema{"from_deg": schema{"type": "number", "minimum": 0, "maximum": 360}, "percent": schema{"type": "number", "minimum": 0, "maximum": 100},
			"speed_m_s": schema{"type": "number", "minimum": 0, "maximum": 60}}
		return listOf(record([]any{"from_deg", "percent", "speed_m_s"}, arm))
	case TypeChipUse:
		return schema{"type": "object", "properties": schema{"mulch_depth_m": number(0, 1), "bedding_m3": number(0, 10_000),
			"compost_green_m3": number(0, 10_000), "paths_m3": number(0, 10_000)}}
	case TypeLimits:
		bare := []any{schema{"type": "number"}, named()}
		whole := record([]any{"value"}, schema{"value": schema{"anyOf": bare}, "reason": text()})
		return schema{"type": "object", "additionalProperties": schema{"type": "object", "additionalProperties": schema{"anyOf": append(bare, whole)}}}
	case TypeAccepted:
		v := listOf(record([]any{"key"}, schema{"key": named(), "reason": text(), "date": text(), "source": text(),
			"measured": schema{"type": []any{"number", "null"}}, "limit": schema{"type": []any{"number", "null"}}}))
		v["maxItems"] = maxAccepted
		return v
	case TypeObject:
		return schema{"type": "object"}
	}
	return schema{"type": "array"}
}

func shareSchema() schema {
	return record([]any{"species", "share_percent"}, schema{"species": named(), "share_percent": schema{"type": "number", "minimum": 0, "maximum": 100}})
}

// positionSchema is longitude, latitude and perhaps a height, which is kept and not used.
func positionSchema() schema {
	return schema{"type": "array", "minItems": 2, "prefixItems": []any{
		schema{"type": "number", "minimum": -180, "maximum": 180}, schema{"type": "number", "minimum": -90, "maximum": 90}},
		"items": schema{"type": "number"}}
}

func geometrySchema() schema {
	position := schema{"$ref": "#/$defs/position"}
	shapes := []any{}
	add := func(kind string, coords schema) {
		shapes = append(shapes, record([]any{"type", "coordinates"}, schema{"type": schema{"const": kind}, "coordinates": coords}))
	}
	array := func(items schema, least int) schema {
		return schema{"type": "array", "minItems": least, "items": items}
	}
	ring := array(position, 4)
	add(point, position)
	add("MultiPoint", array(position, 0))
	add(line, array(position, 2))
	add(multiLine, array(array(position, 2), 0))
	add(polygon, array(ring, 1))
	add(multiPoly, array(array(ring, 1), 0))
	shapes = append(shapes, record([]any{"type", "geometries"}, schema{"type": schema{"const": "GeometryCollection"},
		"geometries": array(schema{"$ref": "#/$defs/geometry"}, 0)}))
	return schema{"anyOf": shapes}
}
