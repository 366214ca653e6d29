package store

// Slug is a readable id made of a name, as Create makes it: "Páirc Mhór" is pairc-mhor.
func Slug(name string) string { return slug(name) }
