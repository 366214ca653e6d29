package web

import (
	"net/http"
	"net/url"
	"strings"

	"quickthorn/planner"
)

type object = map[string]any

// openAPI describes what can be asked for (OpenAPI Specification 3.0.3, 2020). The features of each holding are listed by themselves
// besides the general form: some programs look for the address that they are about to ask for.
func (s *server) openAPI(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	all, err := s.store.Holdings(r.Context())
	if err != nil {
		return err
	}
	holding, feature := reference("parameters", "holding"), reference("parameters", "feature")
	items := []any{reference("parameters", "limit"), reference("parameters", "offset"), reference("parameters", "bbox"), reference("parameters", "datetime"), reference("parameters", "kind")}
	paths := object{
		"/":                                      answers("The start", jsonMedia, "object", false),
		"/openapi":                               answers("This document", openAPIMedia, "object", false),
		"/conformance":                           answers("What of the standard is claimed", jsonMedia, "object", false),
		"/collections":                           answers("The holdings", jsonMedia, "object", false),
		"/collections/{holding}":                 answers("One holding", jsonMedia, "object", true, holding),
		"/collections/{holding}/schema":          answers("The properties that features may have", schemaMedia, "object", true, holding),
		"/collections/{holding}/items":           answers("The features of a holding", geoJSONMedia, "features", true, append([]any{holding}, items...)...),
		"/collections/{holding}/items/{feature}": answers("One feature", geoJSONMedia, "feature", true, holding, feature),
	}
	for _, h := range all {
		paths["/collections/"+url.PathEscape(h.ID)+"/items"] = answers("The features of "+h.Name, geoJSONMedia, "features", true, items...)
	}
	doc := object{
		"openapi": "3.0.3",
		"info":    object{"title": "Quickthorn", "description": "The plans of this store, for reading: OGC API - Features - Part 1: Core, 1.0.1.", "version": "1.0.0"},
		"servers": []any{object{"url": base(r)}},
		"paths":   paths,
		"components": object{
			"parameters": apiParameters(),
			"schemas":    apiSchemas(),
			"responses":  object{"problem": object{"description": "What is wrong, and how to mend it (RFC 9457)", "content": object{"application/problem+json": object{"schema": reference("schemas", "problem")}}}},
		},
	}
	body, err := toJSON(doc)
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, openAPIMedia, body)
	return nil
}

func reference(list, name string) object { return object{"$ref": "#/components/" + list + "/" + name} }

// answers is a path that can be got.
func answers(say, media, schema string, named bool, parameters ...any) object {
	said := object{"200": object{"description": say, "content": object{media: object{"schema": reference("schemas", schema)}}},
		"400": reference("responses", "problem"), "500": reference("responses", "problem")}
	if named {
		said["404"] = reference("responses", "problem")
	}
	return object{"get": object{"summary": say, "parameters": append([]any{reference("parameters", "f")}, parameters...), "responses": said}}
}

func apiParameters() object {
	in := func(where, name, say string, schema object) object {
		p := object{"name": name, "in": where, "description": say, "required": where == "path", "schema": schema}
		if name == "bbox" {
			p["style"], p["explode"] = "form", false
		}
		return p
	}
	text := object{"type": "string"}
	var kinds []string
	for _, k := range planner.Kinds() {
		kinds = append(kinds, string(k.Kind))
	}
	return object{
		"holding":  in("path", "holding", "Id of a holding", text),
		"feature":  in("path", "feature", "Id of a feature", text),
		"f":        in("query", "f", "The form of the answer; there is only JSON", object{"type": "string", "enum": []string{"json", "geojson"}}),
		"limit":    in("query", "limit", "How many features at most are on a page", object{"type": "integer", "minimum": 1, "maximum": pageMost, "default": pageDefault}),
		"offset":   in("query", "offset", "How many features are passed by first", object{"type": "integer", "minimum": 0, "default": 0}),
		"bbox":     in("query", "bbox", "West, south, east, north in degrees on WGS 84: features that touch this box, and those without a place", object{"type": "array", "items": object{"type": "number"}, "minItems": 4, "maxItems": 6}),
		"datetime": in("query", "datetime", "A time or an interval (RFC 3339): features that are there then. One that states when it is planted is there from that November on; one without a time is there always", text),
		"kind":     in("query", "kind", "Features of this kind only, such as hedge. The kinds of the vocabulary are "+strings.Join(kinds, ", ")+".", text),
	}
}

func apiSchemas() object {
	links := object{"type": "array", "items": object{"type": "object", "required": []string{"href"}, "properties": object{
		"href": object{"type": "string"}, "rel": object{"type": "string"}, "type": object{"type": "string"}, "title": object{"type": "string"}}}}
	feature := object{"type": "object", "required": []string{"type", "geometry", "properties"}, "properties": object{
		"type": object{"type": "string", "enum": []string{"Feature"}}, "id": object{"oneOf": []any{object{"type": "string"}, object{"type": "number"}}},
		"geometry": object{"type": "object", "nullable": true}, "properties": object{"type": "object", "nullable": true}, "links": links}}
	return object{
		"object":  object{"type": "object", "properties": object{"links": links}},
		"feature": feature,
		"features": object{"type": "object", "required": []string{"type", "features"}, "properties": object{
			"type": object{"type": "string", "enum": []string{"FeatureCollection"}}, "features": object{"type": "array", "items": reference("schemas", "feature")},
			"links": links, "numberMatched": object{"type": "integer"}, "numberReturned": object{"type": "integer"}}},
		"problem": object{"type": "object", "properties": object{"type": object{"type": "string"}, "title": object{"type": "string"}, "status": object{"type": "integer"}, "detail": object{"type": "string"}}},
	}
}

// schema describes the properties that features of a holding may have (JSON Schema 2020-12): all of the vocabulary, so that a program
// has its columns before it has read a feature. A property that several kinds share and that differs between them is anything.
func (s *server) schema(w http.ResponseWriter, r *http.Request) error {
	if err := plainQuery(r); err != nil {
		return err
	}
	st, err := s.state(r)
	if err != nil {
		return err
	}
	props := object{"kind": object{"type": "string"}}
	add := func(list []planner.Prop) {
		for _, p := range list {
			typ := schemaType(p.Type)
			if old, ok := props[p.Name].(object); ok && old["type"] != typ {
				typ = ""
			}
			o := object{"title": p.Help}
			if typ != "" {
				o["type"] = typ
			}
			props[p.Name] = o
		}
	}
	add(planner.CommonProps())
	for _, k := range planner.Kinds() {
		add(k.Props)
	}
	body, err := toJSON(object{"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": base(r) + "/collections/" + url.PathEscape(st.holding.ID) + "/schema",
		"title": st.holding.Name, "type": "object", "properties": object{"type": object{"const": "Feature"}, "geometry": object{}, "properties": object{"type": "object", "properties": props}}})
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	send(w, r, http.StatusOK, schemaMedia, body)
	return nil
}

// schemaType is the type of a property in JSON Schema.
func schemaType(t planner.PropType) string {
	switch t {
	case planner.TypeNumber:
		return "number"
	case planner.TypeInteger, planner.TypeWinter:
		return "integer"
	case planner.TypeText, planner.TypeChoice, planner.TypeSpecies:
		return "string"
	}
	return "" // a list, or a yes that may be written as a word
}
