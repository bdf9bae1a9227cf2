package cli

// ReplaceFiles writes changed files of a configuration folder, all or none.
var ReplaceFiles = replaceFiles
