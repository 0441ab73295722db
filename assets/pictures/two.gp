# SPDX-License-Identifier: MIT
# gnuplot -c two.gp FOLDER TOP BOTTOM OUT.png TITLE_TOP TITLE_BOTTOM: two sounds on the same axes.
load ARG1."/style.gp"
load ARG2.".values.gp"
longest = seconds; loudest = loudest_db; strongest = strongest_db
load ARG3.".values.gp"
if (seconds > longest) { longest = seconds }
if (loudest_db > loudest) { loudest = loudest_db }
if (strongest_db > strongest) { strongest = strongest_db }
set output ARG4
set xrange [0:longest]
set lmargin at screen 0.075
set rmargin at screen 0.925
set cbrange [strongest - shown_db : strongest]
set cbtics 20 font ",11"
set cblabel "dB re full scale" font ",11" offset -0.5,0
set multiplot

do for [i = 0:1] {
    top = 0.955 - 0.485 * i
    prefix = i ? ARG3 : ARG2
    set title (i ? ARG6 : ARG5) font "sans,16" noenhanced offset 0,-0.3
    set tmargin at screen top
    set bmargin at screen top - 0.265
    set format x ""
    unset xlabel
    set ylabel "frequency, kHz" offset 0.5,0
    set yrange [0:6]
    set ytics 1
    set colorbox user origin 0.935,(top - 0.22) size 0.012,0.18
    plot prefix.".spectrogram.txt" nonuniform matrix using 1:($2 / 1000):3 with image
    unset title
    unset colorbox

    set tmargin at screen top - 0.285
    set bmargin at screen top - 0.395
    set format x "%g"
    set xlabel (i ? "seconds" : "") offset 0,0.4
    set ylabel "level, dB"
    set yrange [loudest - 45 : loudest + 5]
    set ytics 10
    plot prefix.".track.txt" using 1:3 with lines linecolor "#7a2f4a" linewidth 2
}
unset multiplot
