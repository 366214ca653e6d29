module quickthorn

go 1.26.0

require (
	github.com/paulmach/orb v0.14.0 // indirect
	github.com/peterstace/simplefeatures v0.50.0 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/stretchr/testify v1.12.1 // indirect
	github.com/twpayne/go-geom v1.6.1 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/term v0.48.0 // indirect
	pgregory.net/rapid v1.3.0 // indirect
)
