package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"math"
	"os"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/whole"
)

// The layout of FILE.beat; see the package comment.
const (
	beatSize    = 80
	beatMagic   = "beat"
	beatVersion = 2
	beatID      = 8  // where the boot id stands
	beatIDSize  = 36 // a UUID in its usual form
	beatBoot    = beatID + beatIDSize
	beatWall    = beatBoot + 8
	beatMachine = beatWall + 8 // the machine's name, to its end or a zero byte
	beatNames   = 16           // bytes of it
	beatSum     = beatMachine + beatNames
)

var errBoot = errors.New("the name of the machine or of its start is too long for a heartbeat")

func beatOf(path string) string { return path + ".beat" }

// Beat overwrites the heartbeat: the machine was on at this moment. It is not
// synced, as an older one only makes a hold longer. Wall and boot clock are
// kept to the millisecond, the offset to the minute. A boot id of more than 36
// bytes, or a machine's name of more than 16, cannot be kept and is an error: cut
// short it would name another.
func (l *Log) Beat(at fusion.Stamp) error {
	path := beatOf(l.path)
	if l.ReadOnly() != nil {
		return nil // nobody waits beside such a log
	}
	if len(at.BootID) > beatIDSize || len(at.Machine) > beatNames {
		return fmt.Errorf("%s: no heartbeat: %w (%d and %d bytes)", path, errBoot, len(at.Machine), len(at.BootID))
	}
	f, err := openBeside(l.path, path, os.O_WRONLY)
	if err != nil {
		return fmt.Errorf("%s: no heartbeat: %w", path, err)
	}
	_, err = f.WriteAt(encodeBeat(at), 0)
	if info, e := f.Stat(); e == nil && info.Size() > beatSize {
		err = errors.Join(err, f.Truncate(beatSize))
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("%s: no heartbeat: %w", path, err)
	}
	return nil
}

// LastBeat is the newest heartbeat, also of an earlier start of the machine. If
// there is none, or it cannot be read or trusted, it is the zero stamp: a hold only
// gets longer by that, and Beside says it.
func (l *Log) LastBeat() (fusion.Stamp, error) { return lastBeat(l.path), nil }

func lastBeat(path string) fusion.Stamp {
	at, _ := readBeat(path)
	return at
}

// Beside says of what stands beside a log what cannot be read: the log can be gone on
// with, so that it is no error, a line each.
func Beside(path string) (remarks []string) {
	if _, err := journalSeq(path); err != nil && !errors.Is(err, ErrDamaged) {
		remarks = append(remarks, err.Error()+"; whether the log lost entries is not known")
	}
	if _, err := readBeat(path); err != nil {
		remarks = append(remarks, err.Error()+"; a hold counts from its start anew where the machine was off")
	}
	return remarks
}

func readBeat(path string) (fusion.Stamp, error) {
	f, err := whole.Open(beatOf(path))
	if errors.Is(err, fs.ErrNotExist) {
		return fusion.Stamp{}, nil
	}
	if err != nil {
		return fusion.Stamp{}, fmt.Errorf("%s: the heartbeat cannot be read: %w", beatOf(path), err)
	}
	defer f.Close()
	b := make([]byte, beatSize+1) // one more shows a file that is too long
	n, err := io.ReadFull(f, b)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return fusion.Stamp{}, fmt.Errorf("%s: the heartbeat cannot be read: %w", beatOf(path), err)
	}
	return decodeBeat(b[:n]), nil
}

func encodeBeat(at fusion.Stamp) []byte {
	b := make([]byte, beatSize)
	copy(b, beatMagic)
	b[4], b[5] = beatVersion, byte(len(at.BootID))
	binary.BigEndian.PutUint16(b[6:], uint16(int16(at.Offset/60)))
	copy(b[beatID:], at.BootID)
	binary.BigEndian.PutUint64(b[beatBoot:], uint64(at.Boot.Milliseconds()))
	binary.BigEndian.PutUint64(b[beatWall:], uint64(at.Wall.UnixMilli()))
	copy(b[beatMachine:beatSum], at.Machine)
	binary.BigEndian.PutUint32(b[beatSum:], crc32.Checksum(b[:beatSum], castagnoli))
	return b
}

// decodeBeat reads a heartbeat; what is none is the zero stamp.
func decodeBeat(b []byte) fusion.Stamp {
	if len(b) != beatSize || string(b[:4]) != beatMagic || b[4] != beatVersion || b[5] > beatIDSize ||
		binary.BigEndian.Uint32(b[beatSum:]) != crc32.Checksum(b[:beatSum], castagnoli) ||
		binary.BigEndian.Uint64(b[beatBoot:]) > uint64(math.MaxInt64/time.Millisecond) { // it would come out below nought
		return fusion.Stamp{}
	}
	return fusion.Stamp{
		Wall:   time.UnixMilli(int64(binary.BigEndian.Uint64(b[beatWall:]))).UTC(),
		Offset: int(int16(binary.BigEndian.Uint16(b[6:]))) * 60,
		Boot:   time.Duration(binary.BigEndian.Uint64(b[beatBoot:])) * time.Millisecond,
		BootID: string(b[beatID : beatID+int(b[5])]),

		Machine: string(bytes.TrimRight(b[beatMachine:beatSum], "\x00")),
	}
}
