//! The JSON of files, the API and the command line, with its field checks.
