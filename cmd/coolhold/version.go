package main

import (
	"runtime/debug"
	"strings"
	"sync"
)

// release is the version that a release was built as; "" for any other build.
// It is set by the linker: -X main.release=v1.0.0.
var release string

// version names this program, with its revision, in what it writes. It is read once:
// every verb is told. The tests hold it.
var version = sync.OnceValue(func() string {
	info, _ := debug.ReadBuildInfo()
	return versionOf(release, info)
})

// program is the program with its version.
func program() string { return "coolhold " + version() }

// versionOf is the version of a build, and of which revision of the source it is as far
// as is known. A source that was changed since is said: no revision holds it.
func versionOf(release string, info *debug.BuildInfo) string {
	if info == nil {
		return withRevision(release, "")
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	revision := set["vcs.revision"]
	if revision != "" && set["vcs.modified"] == "true" {
		revision += ", changed since"
	}
	if release == "" && (revision == "" || !strings.HasPrefix(info.Main.Version, "v0.0.0-")) {
		release = info.Main.Version // of go install MODULE@VERSION, or the tag of the revision
	}
	return withRevision(release, revision)
}

func withRevision(release, revision string) string {
	switch {
	case release == "" && revision == "":
		return "not known"
	case revision == "":
		return release
	case release == "" || release == "(devel)":
		return "revision " + revision
	}
	return release + ", revision " + revision
}
