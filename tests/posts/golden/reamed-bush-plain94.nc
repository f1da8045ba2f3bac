(Reamed bush)
(Set-up 1 of 2, held in: ER32 collet)
(Stock: free-cutting brass, diameter 20 mm, 80 mm long)
(starts at X63.0 Z26.0 mm, X a radius)
(--- 1 face T1)
(T1: 2 cuts of at most 0.50 mm, feed 0.100 mm a turn)
G18 G21 G90
G94 F229.1
M05
(fit T1 CCMT 060204, 95 deg, right hand; hands clear before going on)
M00
(T1 CCMT 060204, 95 deg, right hand)
(now in the post: T1)
G00 Z21.0
X25.0
(the tip must stand 25 mm from the axis and 20 mm off the bar's end:)
(check with a rule. If not, end here: units, X as diameter or)
(radius, zero or offset are not what the program means)
M00
X63.0
Z26.0
S2291 M03
G04 P3.0
Z2.0
X11.0
Z0.5
G01 X-0.4
Z1.5
G00 X11.0
Z0.0
G01 X-0.4
Z1.0
G00 X63.0
Z26.0
(--- 2 centre by hand T1)
G18 G21 G90
M05
(by hand from the tailstock: centre drill A3.15, 3.15 mm pilot;)
(start the spindle, 2500 rpm; from touching the face go 6.6 mm deep)
(on the quill's scale; back out, stop the spindle, tailstock clear)
(of the tools)
M00
(--- 3 drill by hand T1)
G18 G21 G90
M05
(by hand from the tailstock: drill 7.8 mm, 118 deg point; start the)
(spindle, 2489 rpm; from touching the face go 26.6 mm deep on the)
(quill's scale; 23.4 mm first, then out to clear the chips every 7.8)
(mm; back out, stop the spindle, tailstock clear of the tools)
M00
(--- 4 ream by hand T1)
G18 G21 G90
M05
(by hand from the tailstock: reamer 8 H7; start the spindle, 1214)
(rpm; from touching the face go 23.8 mm deep on the quill's scale;)
(back out, stop the spindle, tailstock clear of the tools)
M00
(--- 5 countersink by hand T1)
G18 G21 G90
M05
(by hand from the tailstock: countersink 90 deg, up to 12.5 mm;)
(start the spindle, 1156 rpm; from touching the face go 4.2 mm deep)
(on the quill's scale; let it turn once on the floor; back out, stop)
(the spindle, tailstock clear of the tools)
M00
(--- 6 rough T1)
(T1: 6 cuts of at most 0.80 mm, feed 0.150 mm a turn)
G18 G21 G90
G94 F257.7
S1718 M03
G04 P3.0
G00 Z1.0
X9.2
G01 Z-23.3
G02 X9.6 Z-23.7 I0.4 K0.0
G01 X9.8
G03 X9.9915 Z-23.749 I-0.0003 K-0.3999
G01 X10.9915 Z-22.749
G00 Z1.0
X8.4475
G01 Z-15.9
X8.6
G03 X8.883 Z-16.017 I0.0003 K-0.4001
G01 X9.083 Z-16.217
G03 X9.2 Z-16.5 I-0.2831 K-0.2827
G01 X10.2 Z-15.5
G00 Z1.0
X7.6945
G01 Z-15.9
X8.4475
X9.4475 Z-14.9
G00 Z1.0
X6.942
G01 Z-15.9
X7.6945
X8.6945 Z-14.9
G00 Z1.0
X6.189
G01 Z-15.9
X6.1895
X6.942
X7.942 Z-14.9
G00 Z1.0
X5.854
G01 Z0.0
G03 X5.872 Z-0.017 I-0.2656 K-0.2992
G01 X6.072 Z-0.217
G03 X6.189 Z-0.5 I-0.2829 K-0.2826
G01 X7.189 Z0.5
(--- 7 finish T1)
(T1: depth 0.20 mm, feed 0.100 mm a turn)
G18 G21 G90
G94 F229.1
S2291 M03
G00 X11.0
Z0.944
X4.6115
G01 X5.672 Z-0.117
X5.872 Z-0.317
G03 X5.989 Z-0.6 I-0.2829 K-0.2826
G01 Z-16.0
X5.9895 F68.7
X8.4 F229.1
G03 X8.683 Z-16.117 I0.0003 K-0.4001
G01 X8.883 Z-16.317
G03 X9.0 Z-16.6 I-0.2831 K-0.2827
G01 Z-23.4
G02 X9.4 Z-23.8 I0.4 K0.0 F114.5
G01 X9.6 F229.1
X11.1 Z-22.3
G00 X63.0
Z26.0
(--- 8 part off T4)
(T4: depth 2.00 mm, feed 0.050 mm a turn)
G18 G21 G90
G94 F21.4
M05
(fit T4 blade 2 mm wide, reach 16 mm; hands clear before going on)
M00
(T4 blade 2 mm wide, reach 16 mm)
(now in the post: T4)
S429 M03
G04 P3.0
G00 Z-22.5
X10.1755
G01 X7.1755
X7.6755 F85.8
X5.1755 F21.4
X5.6755 F85.8
X4.5 F21.4
X3.4 F15.0
X10.1755 F85.8
G00 X63.0
Z26.0
M05
M30
