// Package bringin makes a plan of what people already have: tracks and routes of a handheld (GPX), shapes of a globe viewer (KML, KMZ),
// layers of a map program (GeoPackage), GeoJSON in a national grid, and GeoJSON with the tags of OpenStreetMap.
//
// What a feature becomes is decided in this order: a kind of our own that it names; a position of our own setting out; the table of
// tags (tags.csv); its shape alone. Whatever is guessed, thinned, closed or lost is said in Result.Notes.
package bringin
