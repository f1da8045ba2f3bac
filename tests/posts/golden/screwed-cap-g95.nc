(Screwed cap)
(Set-up 1 of 2, held in: ER25 collet)
(Stock: free-cutting brass, diameter 16 mm, 70 mm long)
(starts at X122.0 Z26.0 mm, X a diameter)
(--- 1 face T3)
(T3: depth 1.00 mm, feed 0.071 mm a turn)
G18 G21 G90 G7 G40
G95 F0.071
M05
(fit T3 VCMT 110302, 93 deg, right hand; hands clear before going on)
M00
(T3 VCMT 110302, 93 deg, right hand)
T3 M06
G43 H3
G00 Z21.0
X50.0
(the tip must stand 25 mm from the axis and 20 mm off the bar's end:)
(check with a rule. If not, end here: units, X as diameter or radius,)
(zero or offset are not what the program means)
M00
X122.0
Z26.0
G96 S144 D2500 M03
G04 P3.0
Z2.0
X18.0
Z0.0
G01 X-0.4
Z1.0
G00 X122.0
Z26.0
(--- 2 centre by hand T3)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: centre drill A3.15, 3.15 mm pilot; start)
(the spindle, 2500 rpm; from touching the face go 5.3 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
M00
(--- 3 drill by hand T3)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: drill 6 mm, 118 deg point; start the)
(spindle, 2500 rpm; from touching the face go 13.8 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
M00
(--- 4 countersink by hand T3)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: countersink 90 deg, up to 12.5 mm; start)
(the spindle, 1517 rpm; from touching the face go 3.2 mm deep on the)
(quill's scale; let it turn once on the floor; back out, stop the)
(spindle, tailstock clear of the tools)
M00
(--- 5 rough T3)
(T3: 5 cuts of at most 1.02 mm, feed 0.080 mm a turn)
G18 G21 G90 G7 G40
G95 F0.08
G96 S108 D2500 M03
G04 P3.0
G43 H3
G00 Z1.0
X14.365
G01 Z-25.1
G02 X15.565 Z-25.7 I0.6 K0.0
G01 X16.0
X18.0 Z-24.7
G00 Z1.0
X12.324
G01 Z-8.9
X13.565
G03 X13.848 Z-8.959 I-0.0003 K-0.1999
G01 X14.248 Z-9.159
G03 X14.365 Z-9.3 I-0.1414 K-0.1413
G01 X16.365 Z-8.3
G00 Z1.0
X10.284
G01 Z-8.9
X12.324
X14.324 Z-7.9
G00 Z1.0
X8.862
G01 Z0.0
X10.167 Z-0.653
G03 X10.284 Z-0.794 I-0.1414 K-0.1413
G01 X12.284 Z0.206
G00 Z-6.3
G01 X10.284
G03 X10.167 Z-6.441 I-0.1999 K0.0003
G01 X8.924 Z-7.063
G02 X8.69 Z-7.346 I0.2829 K-0.2827
G01 Z-8.5
G02 X9.49 Z-8.9 I0.4 K0.0
G01 X10.284
X12.284 Z-7.9
(--- 6 finish T3)
(T3: depth 0.20 mm, feed 0.071 mm a turn)
G18 G21 G90 G7 G40
G95 F0.071
G96 S144 D2500 M03
G43 H3
G00 X18.0
Z1.002
X6.258
G01 X8.379 Z-0.059
X9.767 Z-0.753
G03 X9.884 Z-0.894 I-0.1414 K-0.1413
G01 Z-6.2
G03 X9.767 Z-6.341 I-0.1999 K0.0003
G01 X8.524 Z-6.963
G02 X8.29 Z-7.246 I0.2829 K-0.2827 F0.047
G01 Z-8.6 F0.071
G02 X9.09 Z-9.0 I0.4 K0.0 F0.047
G01 X13.165 F0.071
G03 X13.448 Z-9.059 I-0.0003 K-0.1999
G01 X13.848 Z-9.259
G03 X13.965 Z-9.4 I-0.1414 K-0.1413
G01 Z-25.2
G02 X15.165 Z-25.8 I0.6 K0.0 F0.053
G01 X15.6 F0.071
X18.6 Z-24.3
G00 X122.0
Z26.0
(--- 7 thread T9)
(T9: 12 cuts of at most 0.15 mm, feed 1.000 mm a turn)
G18 G21 G90 G7 G40
M05
(fit T9 threading point, 60 deg, flat 0.12; hands clear before going)
(on)
M00
(T9 threading point, 60 deg, flat 0.12)
T9 M06
G43 H9
G97 S600 M03
G04 P3.0
G00 Z1.911
X11.884
X9.592
G33 Z-7.297 K1.0
G00 X11.884
Z1.878
X9.471
G33 Z-7.297 K1.0
G00 X11.884
Z1.85
X9.371
G33 Z-7.297 K1.0
G00 X11.884
Z1.822
X9.271
G33 Z-7.297 K1.0
G00 X11.884
Z1.795
X9.171
G33 Z-7.297 K1.0
G00 X11.884
Z1.767
X9.071
G33 Z-7.297 K1.0
G00 X11.884
Z1.739
X8.971
G33 Z-7.297 K1.0
G00 X11.884
Z1.712
X8.871
G33 Z-7.297 K1.0
G00 X11.884
Z1.684
X8.771
G33 Z-7.297 K1.0
G00 X11.884
Z1.639
X8.61
G33 Z-7.297 K1.0
G00 X11.884
Z1.639
X8.61
G33 Z-7.297 K1.0
G00 X11.884
Z1.639
X8.61
G33 Z-7.297 K1.0
G00 X11.884
Z1.639
X122.0
Z26.0
(--- 8 part off T4)
(T4: depth 2.00 mm, feed 0.050 mm a turn)
G18 G21 G90 G7 G40
G95 F0.05
M05
(fit T4 blade 2 mm wide, reach 16 mm; hands clear before going on)
M00
(T4 blade 2 mm wide, reach 16 mm)
T4 M06
G43 H4
G96 S24 D2500 M03
G04 P3.0
G00 Z-24.5
X16.316
G01 X10.316
X11.316 F0.2
X6.316 F0.05
X7.316 F0.2
X3.0 F0.05
X2.316 F0.035
X3.316 F0.2
X3.0 F0.05
X1.0 F0.035
X16.316 F0.2
G00 X122.0
Z26.0
(--- 9 break off by hand T4)
G18 G21 G90 G7 G40
M05
(stop the spindle and isolate the drives, then saw or twist the piece)
(off its stub of 1 mm; dress the pip until the face is flat)
M00
M30
