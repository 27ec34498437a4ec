package desk

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// photoKey is the key of every page that can be shown by a photo.
const photoKey = 0

// A binding is what a photo is bound to: a weld, a joint, or what the file itself names.
type binding struct {
	of   string // as it is called
	by   string
	weld string
	at   string // a joint
	file logbook.Enclosed
}

// photoOf asks for the file of a photo, then what it shows and who says so.
func photoOf(b binding) shell.Screen {
	return form.TakingFile{
		Title: "A photo of " + logbook.Clean(b.of), Box: form.NewFileBox("photo", "photo file", ""),
		Done: func(env shell.Env, in shell.Input) {
			if in.Photo != nil {
				env.Do.Replace(bindingPhoto(b, in))
			}
		},
	}
}

// bindingPhoto asks what a photo shows. What its file says of its time is shown beside
// ours: the camera's clock is another.
func bindingPhoto(b binding, in shell.Input) shell.Screen {
	return form.Ask{
		About: "photo",
		Title: logbook.Clean(in.Photo.File + " of " + b.of),
		Text: func(env shell.Env) []string {
			return []string{
				fmt.Sprintf("%s, %d bytes. Here it is %s; the camera's clock is not ours.", in.Says, in.Photo.Bytes, env.Now.Local().Format("2006-01-02 15:04")),
				"Its name and its hash are kept, not the file: keep that with the register.",
			}
		},
		Form: form.New([]form.Field{form.Reason("what", "what it shows", logbook.WhatPhotosShow), whose(b.by)}),
		Done: func(env shell.Env, a form.Answers) {
			f := *in.Photo
			f.What, f.Part, f.Section, f.Test = a.V("what"), b.file.Part, b.file.Section, b.file.Test
			enclose := func(h acts.Head) acts.Act { return acts.Enclose(h, b.weld, b.at, f) }
			saveAs(env, a, "photo of "+b.of, enclose)
			if _, err := enclose(env.Head())(env.Book); err == nil { // a refusal is said in its place
				bound := logbook.Clean(f.File + " is enclosed for " + b.of)
				env.Do.Fetch(func(shell.Log) (string, error) { return bound, nil }) // once it is stored
			}
		},
	}
}

// enclosedLines are the files that were named for something, a line each.
func enclosedLines(s logbook.Site, is func(logbook.Enclosure) bool) []string {
	var out []string
	for _, e := range s.Enclosed {
		if !is(e) {
			continue
		}
		line := fmt.Sprintf("%s: %s (%s; %.12s)", e.File, e.What, signedBy(e.Signature), e.Hash)
		if e.Taken != nil {
			line += "; " + e.Taken.String()
		}
		out = append(out, line)
	}
	return out
}

// enclosedInShort is how many files were named for something, and what they show; "" for
// none.
func enclosedInShort(s logbook.Site, is func(logbook.Enclosure) bool) string {
	var shows []string
	for _, e := range s.Enclosed {
		if is(e) {
			shows = append(shows, e.What)
		}
	}
	if len(shows) == 0 {
		return ""
	}
	return logbook.Count(len(shows), "file") + ": " + strings.Join(shows, "; ")
}

// ofWeldOrJoint are files of a weld, or of its joint; of a joint alone those of the joint.
func ofWeldOrJoint(weld, joint string) func(logbook.Enclosure) bool {
	return func(e logbook.Enclosure) bool {
		return weld != "" && e.Weld == weld || e.Weld == "" && joint != "" && e.Joint == joint
	}
}

func ofPart(name string) func(logbook.Enclosure) bool {
	return func(e logbook.Enclosure) bool { return e.Part == name }
}

func ofTest(id string) func(logbook.Enclosure) bool {
	return func(e logbook.Enclosure) bool { return e.Test == id }
}

// ofSection are files of a section, or of a test of it.
func ofSection(id logbook.SectionID, tests []string) func(logbook.Enclosure) bool {
	return func(e logbook.Enclosure) bool {
		return e.Section != nil && *e.Section == id || slices.Contains(tests, e.Test)
	}
}
