# SPDX-License-Identifier: GPL-3.0-or-later
# A thin front: Meson builds, the scripts in tools/ do the rest.
#
#   make            build/leatherhard (installs missing Debian packages first)
#   make demo       the sample piece, worked into demo/
#   make page       the page with a book that holds the sample piece
#   make check      every test, under the address and undefined sanitizers
#   make check-all  the same, and all that takes longer
#   make torture    kill the program while it saves, cut the power: 1,000 times
#   make bench      the benchmarks      make fuzz   each parser, 60 s
#   make fmt        the house format    make clean  remove what was built
.PHONY: all demo page check check-all torture bench fuzz fmt clean

all: build/build.ninja
	ninja -C build cli/leatherhard
	@ln -sf cli/leatherhard build/leatherhard

build/build.ninja:
	@tools/install.sh
	meson setup build --buildtype=release

demo: all
	build/leatherhard demo demo

page: all
	build/leatherhard serve --book build/sample.book

check check-all bench fuzz:
	@tools/install.sh
	@tools/$@.sh

torture: build/build.ninja
	ninja -C build tests/book/test_torture tests/book/test_power
	build/tests/book/test_torture 1000
	build/tests/book/test_power 1000

fmt:
	@tools/install.sh
	git ls-files '*.c' '*.h' | xargs -r clang-format-14 -i

clean:
	rm -rf build build-* demo
