serve --help
