package app

// Writable is writable, for tests.
func Writable(dir, file string) error { return writable(dir, file) }

// MayWrite sets who is asked whether a file of the folder may be replaced, for
// tests that run as root, who may write everywhere.
func (o *Options) MayWrite(ask func(dir, file string) error) { o.mayWrite = ask }

// Unwritable is unwritable, for tests.
func Unwritable(dir string, err error) error { return unwritable(dir, err) }

// ReplaceFile is replaceFile, for tests.
func ReplaceFile(dir, file string, body []byte) error { return replaceFile(dir, file, body) }
