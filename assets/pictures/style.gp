# SPDX-License-Identifier: MIT
# Shared by one.gp and two.gp: paper-light ground, cane to dark wood for strength, ink for lines.
set encoding utf8
set terminal pngcairo size 1400,1000 font "sans,13" background "#fdfcf8"
set border 3 linecolor "#4a463f"
set tics nomirror out scale 0.6
set grid ytics linecolor "#b9b09a" linewidth 1
set key off
set palette maxcolors 20 defined (0 "#fdfcf8", 0.25 "#efe2b8", 0.5 "#d9a84e", 0.75 "#99501f", 1 "#2c1509")
set colorbox vertical user size 0.012,0.12
shown_db = 65 # under the strongest; weaker is ground

note(n) = word("C C♯ D E♭ E F F♯ G G♯ A B♭ B", n % 12 + 1) . sprintf("%d", n / 12 - 1)
