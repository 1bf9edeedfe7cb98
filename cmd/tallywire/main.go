// Command tallywire plans how a building's fans join its automation system.
package main

import _ "github.com/urfave/cli/v2"

func main() {}
