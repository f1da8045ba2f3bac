(Reamed bush)
(Set-up 1 of 2, held in: ER32 collet)
(Stock: free-cutting brass, diameter 20 mm, 80 mm long)
(starts at X126.0 Z26.0 mm, X a diameter)
(--- 1 face T1)
(T1: 2 cuts of at most 0.50 mm, feed 0.100 mm a turn)
G18 G21 G90 G7 G40
G95 F0.1
M05
(fit T1 CCMT 060204, 95 deg, right hand; hands clear before going on)
M00
(T1 CCMT 060204, 95 deg, right hand)
T1 M06
G43 H1
G00 Z21.0
X50.0
(the tip must stand 25 mm from the axis and 20 mm off the bar's end:)
(check with a rule. If not, end here: units, X as diameter or radius,)
(zero or offset are not what the program means)
M00
X126.0
Z26.0
G96 S144 D2500 M03
G04 P3.0
Z2.0
X22.0
Z0.5
G01 X-0.8
Z1.5
G00 X22.0
Z0.0
G01 X-0.8
Z1.0
G00 X126.0
Z26.0
(--- 2 centre by hand T1)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: centre drill A3.15, 3.15 mm pilot; start)
(the spindle, 2500 rpm; from touching the face go 6.6 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
M00
(--- 3 drill by hand T1)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: drill 7.8 mm, 118 deg point; start the)
(spindle, 2489 rpm; from touching the face go 26.6 mm deep on the)
(quill's scale; 23.4 mm first, then out to clear the chips every 7.8)
(mm; back out, stop the spindle, tailstock clear of the tools)
M00
(--- 4 ream by hand T1)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: reamer 8 H7; start the spindle, 1214)
(rpm; from touching the face go 23.8 mm deep on the quill's scale;)
(back out, stop the spindle, tailstock clear of the tools)
M00
(--- 5 countersink by hand T1)
G18 G21 G90 G7 G40
M05
(by hand from the tailstock: countersink 90 deg, up to 12.5 mm; start)
(the spindle, 1156 rpm; from touching the face go 4.2 mm deep on the)
(quill's scale; let it turn once on the floor; back out, stop the)
(spindle, tailstock clear of the tools)
M00
(--- 6 rough T1)
(T1: 6 cuts of at most 0.80 mm, feed 0.150 mm a turn)
G18 G21 G90 G7 G40
G95 F0.15
G96 S108 D2500 M03
G04 P3.0
G43 H1
G00 Z1.0
X18.4
G01 Z-23.3
G02 X19.2 Z-23.7 I0.4 K0.0
G01 X19.6
G03 X19.983 Z-23.749 I-0.0003 K-0.3999
G01 X21.983 Z-22.749
G00 Z1.0
X16.895
G01 Z-15.9
X17.2
G03 X17.766 Z-16.017 I0.0003 K-0.4001
G01 X18.166 Z-16.217
G03 X18.4 Z-16.5 I-0.2831 K-0.2827
G01 X20.4 Z-15.5
G00 Z1.0
X15.389
G01 Z-15.9
X16.895
X18.895 Z-14.9
G00 Z1.0
X13.884
G01 Z-15.9
X15.389
X17.389 Z-14.9
G00 Z1.0
X12.378
G01 Z-15.9
X12.379
X13.884
X15.884 Z-14.9
G00 Z1.0
X11.708
G01 Z0.0
G03 X11.744 Z-0.017 I-0.2656 K-0.2992
G01 X12.144 Z-0.217
G03 X12.378 Z-0.5 I-0.2829 K-0.2826
G01 X14.378 Z0.5
(--- 7 finish T1)
(T1: depth 0.20 mm, feed 0.100 mm a turn)
G18 G21 G90 G7 G40
G95 F0.1
G96 S144 D2500 M03
G43 H1
G00 X22.0
Z0.944
X9.223
G01 X11.344 Z-0.117
X11.744 Z-0.317
G03 X11.978 Z-0.6 I-0.2829 K-0.2826
G01 Z-16.0
X11.979 F0.03
X16.8 F0.1
G03 X17.366 Z-16.117 I0.0003 K-0.4001
G01 X17.766 Z-16.317
G03 X18.0 Z-16.6 I-0.2831 K-0.2827
G01 Z-23.4
G02 X18.8 Z-23.8 I0.4 K0.0 F0.05
G01 X19.2 F0.1
X22.2 Z-22.3
G00 X126.0
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
G00 Z-22.5
X20.351
G01 X14.351
X15.351 F0.2
X10.351 F0.05
X11.351 F0.2
X9.0 F0.05
X6.8 F0.035
X20.351 F0.2
G00 X126.0
Z26.0
M05
M30
