sheets ../piece/v1-cylinder.json --out --json
