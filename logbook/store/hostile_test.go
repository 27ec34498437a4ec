package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/store/soaktest"
)

// judgeEnv makes the test binary a program that does all there is with the log it
// names, and says what came of it.
const judgeEnv = "COOLHOLD_STORE_TEST_JUDGE"

// peakSays stands before the memory that it took.
const peakSays = "peak: "

func judge(path string) {
	l, err := Open(path)
	fmt.Println("open:", err)
	if err == nil {
		_, err := l.Append(bg, saves("more", 1))
		fmt.Println("append:", err)
		fmt.Println("copy:", l.Copy(bg, path+".copy"))
	}
	_, err = ReadAll(bg, path)
	fmt.Println("read:", err)
	_, err = Verify(bg, path, true)
	fmt.Println("verify:", err)
	_, err = Restore(bg, path, path+".restored", stamp(900))
	fmt.Println("restore:", err)
	fmt.Print(peakSays, peak())
}

// A crafted file is what somebody made of a sound log.
type crafted struct {
	data []byte
	long int64 // the file is made so long, without anything in it
	head head
}

// newPage appends a page of a sort with those that it runs on into.
func (c *crafted) newPage(flags, count uint16, more uint32, body []byte) (id uint64) {
	num := binary.NativeEndian
	id = c.head.pages
	page := make([]byte, (int(more)+1)*pageSize)
	num.PutUint64(page, id)
	num.PutUint16(page[8:], flags)
	num.PutUint16(page[10:], count)
	num.PutUint32(page[12:], more)
	copy(page[pageHeader:], body)
	c.data = append(c.data[:c.head.pages*pageSize], page...)
	c.head.pages += uint64(more) + 1
	return id
}

// root makes a page the root of the site's bucket.
func (c *crafted) root(id uint64) {
	num := binary.NativeEndian
	top := c.data[c.head.root*pageSize:]
	for i := range int(num.Uint16(top[10:])) {
		if string(keyOf(top, i)) == "site" {
			num.PutUint64(valueOf(top, i), id)
			copy(valueOf(top, i)[8:], make([]byte, 8))
		}
	}
}

// seal writes the head to both of its pages, each with its checksum.
func (c *crafted) seal() {
	num := binary.NativeEndian
	for n := range uint64(2) {
		b := c.data[n*pageSize+pageHeader:]
		num.PutUint64(b[16:], c.head.root)
		num.PutUint64(b[32:], c.head.free)
		num.PutUint64(b[40:], c.head.pages)
		num.PutUint64(b[48:], c.head.txid+n)
		sum := fnv.New64a()
		sum.Write(b[:56])
		num.PutUint64(b[56:], sum.Sum64())
	}
}

// branchTo is a branch element with its key behind it.
func branchTo(id uint64, key string) []byte {
	num := binary.NativeEndian
	e := num.AppendUint32(nil, elementSize)
	e = num.AppendUint32(e, uint32(len(key)))
	return append(num.AppendUint64(e, id), key...)
}

func leafWith(flags uint32, key string, value []byte) []byte {
	num := binary.NativeEndian
	e := num.AppendUint32(nil, flags)
	for _, n := range []int{elementSize, len(key), len(value)} {
		e = num.AppendUint32(e, uint32(n))
	}
	return append(append(e, key...), value...)
}

// nested is a bucket in a bucket, and so on, all in one leaf.
func nested(levels int) []byte {
	num := binary.NativeEndian
	const each = bucketHead + pageHeader + elementSize + 1
	all := make([]byte, 0, levels*each+bucketHead+pageHeader)
	for left := levels; left >= 0; left-- {
		head := make([]byte, bucketHead+pageHeader)
		num.PutUint16(head[bucketHead+8:], pageLeaf)
		if left > 0 {
			num.PutUint16(head[bucketHead+10:], 1)
		}
		all = append(all, head...)
		if left > 0 {
			e := make([]byte, elementSize)
			num.PutUint32(e, leafBucket)
			num.PutUint32(e[4:], elementSize)
			num.PutUint32(e[8:], 1)
			num.PutUint32(e[12:], uint32((left-1)*each+bucketHead+pageHeader))
			all = append(append(all, e...), 'k')
		}
	}
	return all
}

// hostile are files that nobody but a person with bad intent makes.
var hostile = map[string]func(c *crafted){
	"buckets in buckets, in one leaf": func(c *crafted) {
		body := leafWith(leafBucket, "k", nested(600000))
		c.root(c.newPage(pageLeaf, 1, uint32((pageHeader+len(body)-1)/pageSize), body))
	},
	"a bucket that holds itself": func(c *crafted) {
		value := make([]byte, bucketHead)
		binary.NativeEndian.PutUint64(value, c.head.pages)
		c.root(c.newPage(pageLeaf, 1, 0, leafWith(leafBucket, "k", value)))
	},
	"a branch that leads to itself": func(c *crafted) { c.root(c.newPage(pageBranch, 1, 0, branchTo(c.head.pages, "k"))) },
	"a way down without end": func(c *crafted) {
		for range 5000 {
			c.newPage(pageBranch, 1, 0, branchTo(c.head.pages+1, "k"))
		}
		c.root(c.newPage(pageLeaf, 1, 0, leafWith(0, "k", []byte("v"))) - 5000)
	},
	"65535 elements":             func(c *crafted) { c.root(c.newPage(pageBranch, 65535, 0, nil)) },
	"65535 elements, all there":  func(c *crafted) { c.root(c.newPage(pageBranch, 65535, 300, nil)) },
	"a leaf that runs on":        func(c *crafted) { c.root(c.newPage(pageLeaf, 0, mostRun+1, nil)) },
	"a leaf that runs on beyond": func(c *crafted) { id := c.newPage(pageLeaf, 0, 0, nil); c.data[id*pageSize+15] = 0x7f; c.root(id) },
	"free pages without number": func(c *crafted) {
		c.head.free = c.newPage(pageFree, manyFree, 0, binary.NativeEndian.AppendUint64(nil, 1<<40))
	},
	"free pages, more than memory": func(c *crafted) {
		c.head.free = c.newPage(pageFree, manyFree, 0, binary.NativeEndian.AppendUint64(nil, 1<<31))
		binary.NativeEndian.PutUint32(c.data[c.head.free*pageSize+12:], 1<<22-1<<10)
		c.head.pages = mostPages
		c.long = mostPages * pageSize
	},
	"no list of free pages":          func(c *crafted) { c.head.free = 1<<64 - 1 },
	"a long file with nothing in it": func(c *crafted) { c.head.pages, c.long = mostPages, mostPages*pageSize },
	"a file without end":             func(c *crafted) { c.head.pages, c.long = 1<<30, 1<<30*pageSize },
	"a file far longer than its log": func(c *crafted) { c.long = 1 << 42 },
}

// Whatever a file says: it is refused in little time and memory, by whoever
// opens, reads, copies, checks or restores it.
func TestHostile(t *testing.T) {
	l := aDay(t)
	sound, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	for name, make := range hostile {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "hostile.log")
			c := &crafted{data: bytes.Clone(sound), head: newest(bytes.NewReader(sound))}
			make(c)
			c.seal()
			rewrite(t, path, c.data)
			if err := os.Truncate(path, max(c.long, int64(len(c.data)))); err != nil {
				t.Skip("this file system has no files so long:", err)
			}
			journal, _ := os.ReadFile(l.path + ".journal")
			rewrite(t, path+".journal", journal)
			judged(t, path)
		})
	}
}

// The most that is taken on a file's word is a list of very many free pages.
func TestManyFreePages(t *testing.T) {
	many := soaktest.Rounds(t, 1<<16, 1<<18, 1<<18)
	l := aDay(t)
	sound, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	c := &crafted{data: sound, head: newest(bytes.NewReader(sound))}
	old := c.data[c.head.free*pageSize:]
	var ids []uint64
	for i := range int(binary.NativeEndian.Uint16(old[10:])) {
		ids = append(ids, binary.NativeEndian.Uint64(old[pageHeader+8*i:]))
	}
	ids = append(ids, c.head.free)
	c.head.free = c.head.pages
	more := uint32((pageHeader + 8 + 8*(many+len(ids)) - 1) / pageSize)
	for i := range uint64(many) {
		ids = append(ids, c.head.free+uint64(more)+1+i)
	}
	body := binary.NativeEndian.AppendUint64(nil, uint64(len(ids)))
	for _, id := range ids {
		body = binary.NativeEndian.AppendUint64(body, id)
	}
	c.newPage(pageFree, manyFree, more, body)
	c.head.pages += uint64(many)
	c.seal()
	path := filepath.Join(t.TempDir(), "free.log")
	rewrite(t, path, c.data)
	if err := os.Truncate(path, int64(c.head.pages)*pageSize); err != nil {
		t.Skip("this file system has no files so long:", err)
	}
	out, most, used := runJudge(t, path)
	if !strings.HasPrefix(out, "open: <nil>\nappend: <nil>\n") || tooMuch(most, 0) {
		t.Errorf("%d MB, %v of the processor:\n%s", most>>20, used, out)
	}
}

const (
	mostMemory = 200 << 20
	mostTime   = 2 * time.Second // for each of the six; a machine that is busy is waited for
)

// tooMuch tells whether what a program took is more than it may. The race detector
// takes several times as much of both for itself: from memory, up to ten and twenty times.
func tooMuch(most int64, used time.Duration) bool {
	if raced {
		return most > 10*mostMemory || used > 20*mostTime
	}
	return most > mostMemory || used > mostTime
}

func judged(t *testing.T, path string) {
	t.Helper()
	out, most, used := runJudge(t, path)
	for _, line := range strings.Split(strings.TrimSpace(out), "\n") {
		what, said, _ := strings.Cut(line, ": ")
		// The journal is sound: a log can be made of it, unless the file is too long to look for entries in.
		// And where only the free pages are in doubt what there is can be read.
		right := said == "<nil>" && (what == "restore" || what == "read" && strings.Contains(out, "free pages"))
		if !right && !strings.Contains(said, ErrDamaged.Error()) {
			t.Errorf("not refused: %s", line)
		}
	}
	if strings.Count(out, "\n") < 4 {
		t.Errorf("it ended early:\n%s", out)
	}
	if tooMuch(most, used) {
		t.Errorf("%d MB, %v of the processor", most>>20, used)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*.copy*")); len(left) > 0 {
		t.Errorf("left %v", left)
	}
}

func runJudge(t *testing.T, path string) (out string, most int64, used time.Duration) {
	t.Helper()
	cmd := exec.CommandContext(within(time.Minute), os.Args[0])
	cmd.Env = append(os.Environ(), judgeEnv+"="+path)
	all, err := cmd.CombinedOutput()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) {
		t.Fatal(err)
	}
	if err != nil {
		t.Errorf("%v\n%.2000s", err, all)
	}
	out, said, _ := strings.Cut(string(all), peakSays)
	if most, err = strconv.ParseInt(said, 10, 64); err != nil {
		t.Errorf("it ended early: %v", err)
	}
	return out, most, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

// What is damaged has no copy: one would seem to be sound, and may be all that is
// left one day.
func TestNoCopyOfDamage(t *testing.T) {
	day := aDay(t)
	data := spoil(t, day.path)
	line := storedLines(t, day.path)[4]
	all := map[string][]int{
		"a value":    occurrences(data, line, 30),
		"free pages": {int(newest(bytes.NewReader(data)).free)*pageSize + pageHeader},
	}
	leaves := leafCounts(data)
	if len(leaves) < 4 {
		t.Fatalf("%d leaves are too few to try", len(leaves))
	}
	for _, at := range leaves {
		all[fmt.Sprint("page ", at/pageSize)] = []int{at}
	}
	for name, at := range all {
		path := clone(t, day.path)
		l := day.at(path)
		rewrite(t, path, spoilBytes(data, at...))
		if err := l.Copy(bg, path+".copy"); !errors.Is(err, ErrDamaged) || strings.Contains(err.Error(), ".copy") {
			t.Errorf("%s: %v", name, err)
		}
		if left, _ := filepath.Glob(path + ".copy*"); len(left) > 0 {
			t.Errorf("%s: left %v", name, left)
		}
	}
	if err := day.Copy(bg, day.path+".copy"); err != nil {
		t.Errorf("of a sound log: %v", err)
	}
}

// leafCounts are the places where each leaf counts its elements.
func leafCounts(data []byte) (at []int) {
	h := newest(bytes.NewReader(data))
	w, err := walk(fileSource{bytes.NewReader(data)}, "x", h, true)
	for id := 2; err == nil && id < len(w.seen); id++ {
		if w.seen[id] == pageTaken && binary.NativeEndian.Uint16(data[id*pageSize+8:]) == pageLeaf {
			at = append(at, id*pageSize+10)
		}
	}
	return at
}

// What a file may say at most is refused before anything is done by it.
func TestLimits(t *testing.T) {
	if _, err := walk(fileSource{bytes.NewReader(nil)}, "x", head{pages: mostPages + 1}, true); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "which no log is") {
		t.Errorf("too many pages: %v", err)
	}
	long := &walker{head: head{pages: mostRun + 9}, seen: make([]byte, mostRun+9)}
	if err := long.runsOn(2, mostRun+1); err == nil {
		t.Error("a page that runs on for more pages than any was taken")
	}
	list := make([]byte, pageHeader+8)
	binary.NativeEndian.PutUint16(list[8:], pageFree)
	binary.NativeEndian.PutUint16(list[10:], manyFree)
	for count, ok := range map[uint64]bool{mostFree: true, mostFree + 1: false} {
		binary.NativeEndian.PutUint64(list[pageHeader:], count)
		if _, n, err := freeCount(list, 1<<40); (err == nil) != ok || ok && n != count {
			t.Errorf("%d free pages: %v", count, err)
		}
	}
}
