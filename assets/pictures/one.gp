# SPDX-License-Identifier: MIT
# gnuplot -c one.gp FOLDER PREFIX OUT.png TITLE: what canebrake_tracks wrote of one sound.
load ARG1."/style.gp"
load ARG2.".values.gp"
set output ARG3
set xrange [0:seconds]
set lmargin at screen 0.075
set rmargin at screen 0.925
set multiplot

set title ARG4 font "sans,16" noenhanced offset 0,-0.3
set tmargin at screen 0.95
set bmargin at screen 0.53
set format x ""
set ylabel "frequency, kHz" offset 0.5,0
set yrange [0:6]
set ytics 1
set cbrange [strongest_db - shown_db : strongest_db]
set cbtics 20 font ",11"
set cblabel "dB re full scale" font ",11" offset -0.5,0
set colorbox user origin 0.935,0.62 size 0.012,0.24
plot ARG2.".spectrogram.txt" nonuniform matrix using 1:($2 / 1000):3 with image
unset title
unset colorbox

set tmargin at screen 0.50
set bmargin at screen 0.24
low = int(floor(lowest)) - 2
high = int(ceil(highest)) + 2
set yrange [low:high]
set ylabel "written pitch, B♭ clarinet" offset -2,0
# Names on every note of a narrow range, on the naturals of a wider one, else on C, E and G.
every = high - low > 30 ? "1 0 0 0 1 0 0 1 0 0 0 0" : high - low > 14 ? "1 0 1 0 1 1 0 1 0 1 0 1" : "1 1 1 1 1 1 1 1 1 1 1 1"
set ytics nomirror out scale 0.6 ("" low)
do for [n = low:high] {
    if (word(every, n % 12 + 1) eq "1") { set ytics add (note(n) n) }
}
plot ARG2.".track.txt" using 1:2 with points pointtype 7 pointsize 0.35 linecolor "#1d5f5a"

set tmargin at screen 0.21
set bmargin at screen 0.07
set format x "%g"
set xlabel "seconds" offset 0,0.4
set ylabel "level, dB"
unset ytics
set yrange [loudest_db - 50 : loudest_db + 4]
set ytics nomirror out scale 0.6 10
plot ARG2.".track.txt" using 1:3 with lines linecolor "#7a2f4a" linewidth 2
unset multiplot
