package main

import (
	"fmt"
	"os"
)

func main() {
	dir, err := cache()
	if err != nil {
		panic(err)
	}
	for _, name := range os.Args[1:] {
		fmt.Println(kept(dir, name))
	}
}
