//go:build !unix

package app

import "os"

func keepOwner(*os.File, os.FileInfo) {}

func isReadOnly(error) bool { return false }
