// Hello is what a program costs that does nothing: the floor of --help and time.
package main

import "fmt"

func main() { fmt.Println("hello") }
