package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"time"

	"coolhold/fusion"
)

// The layout of FILE.beat; see the package comment.
const (
	beatSize    = 64
	beatMagic   = "beat"
	beatVersion = 1
	beatID      = 8  // where the boot id stands
	beatIDSize  = 36 // a UUID in its usual form
	beatBoot    = beatID + beatIDSize
	beatWall    = beatBoot + 8
	beatSum     = beatWall + 8
)

var errBoot = errors.New("the boot id is too long for a heartbeat")

func beatOf(path string) string { return path + ".beat" }

// Beat overwrites the heartbeat: the machine was on at this moment. It is not
// synced, as an older one only makes a hold longer. Wall and boot clock are
// kept to the millisecond, the offset to the minute. A boot id of more than 36
// bytes cannot be kept and is an error: cut short it would name another start.
func (l *Log) Beat(at fusion.Stamp) error {
	path := beatOf(l.path)
	if len(at.BootID) > beatIDSize {
		return fmt.Errorf("%s: no heartbeat: %w (%d bytes)", path, errBoot, len(at.BootID))
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o666)
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
// there is none or it cannot be trusted, it is the zero stamp.
func (l *Log) LastBeat() (fusion.Stamp, error) { return readBeat(l.path) }

func readBeat(path string) (fusion.Stamp, error) {
	f, err := os.Open(beatOf(path))
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
	binary.BigEndian.PutUint32(b[beatSum:], crc32.Checksum(b[:beatSum], castagnoli))
	return b
}

// decodeBeat reads a heartbeat; what is none is the zero stamp.
func decodeBeat(b []byte) fusion.Stamp {
	if len(b) != beatSize || string(b[:4]) != beatMagic || b[4] != beatVersion || b[5] > beatIDSize ||
		binary.BigEndian.Uint32(b[beatSum:]) != crc32.Checksum(b[:beatSum], castagnoli) {
		return fusion.Stamp{}
	}
	return fusion.Stamp{
		Wall:   time.UnixMilli(int64(binary.BigEndian.Uint64(b[beatWall:]))).UTC(),
		Offset: int(int16(binary.BigEndian.Uint16(b[6:]))) * 60,
		Boot:   time.Duration(binary.BigEndian.Uint64(b[beatBoot:])) * time.Millisecond,
		BootID: string(b[beatID : beatID+int(b[5])]),
	}
}
