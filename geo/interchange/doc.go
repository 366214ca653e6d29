// Package interchange reads and writes places as longitude and latitude (WGS 84, degrees), strictly.
//
// It knows the forms of files and nothing of plans. A GeoJSON text (RFC 7946, IETF 2016) is checked once as JSON, in UTF-8
// and nested no deeper than MaxDepth; after that everything is a slice of the one input buffer, and nothing is copied until
// somebody asks for a value. So a large file costs little more than its own size, and deep nesting cannot exhaust the stack.
//
// Positions are read strictly: two or more finite numbers. A position that falls short is refused, never guessed at.
//
// GPX, KML, KMZ, GeoPackage and GeoJSON of a national grid are read into a Batch: things with a name, a shape in longitude and
// latitude, and fields. What a file holds besides is counted, so that it can be said. Files may come from anywhere: no document type,
// view or trigger is followed, and nothing grows beyond the size of the file and the limits beside MaxPlaces.
package interchange
