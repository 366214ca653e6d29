package species

import "regexp"

var allelePattern = regexp.MustCompile(`^(S[0-9]+[a-z]?'?)+$`)
var alleleParts = regexp.MustCompile(`S[0-9]+[a-z]?'?`)

// parseAlleles splits "S3S4'" into S3 and S4'; nil where it is not written so.
func parseAlleles(s string) []string {
	if !allelePattern.MatchString(s) {
		return nil
	}
	return alleleParts.FindAllString(s, -1)
}
