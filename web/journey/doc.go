// Package journey drives the page in a real Chromium as a user would: by pointer, by keyboard alone, by touch on a narrow screen, in two
// windows, and with the server going away in the middle. It has tests only.
package journey
