%
(Reamed bush)
(Set-up 1 of 2, held in: ER32 collet)
(Stock: free-cutting brass, diameter 20 mm, 80 mm long)
(starts at X126.0 Z26.0 mm, X a diameter)
(--- 1 face T1)
(T1: 2 cuts of at most 0.50 mm, feed 0.100 mm a turn)
N1 G18 G71 G90 G40
N2 G95 F0.1
N3 M05
(fit T1 CCMT 060204, 95 deg, right hand; hands clear before going on)
N4 M00
(T1 CCMT 060204, 95 deg, right hand)
N5 T1 M06
N6 D1
N7 G00 Z21.0
N8 X50.0
(the tip must stand 25 mm from the axis and 20 mm off the bar's end:)
(check with a rule. If not, end here: units, X as diameter or radius,)
(zero or offset are not what the program means)
N9 M00
N10 X126.0
N11 Z26.0
N12 G97 S2291 M03
N13 G04 F3.0
N14 Z2.0
N15 X22.0
N16 Z0.5
N17 G01 X-0.8 F0.1
N18 Z1.5
N19 G00 X22.0
N20 Z0.0
N21 G01 X-0.8
N22 Z1.0
N23 G00 X126.0
N24 Z26.0
(--- 2 centre by hand T1)
N25 G18 G71 G90 G40
N26 M05
(by hand from the tailstock: centre drill A3.15, 3.15 mm pilot; start)
(the spindle, 2500 rpm; from touching the face go 6.6 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
N27 M00
(--- 3 drill by hand T1)
N28 G18 G71 G90 G40
N29 M05
(by hand from the tailstock: drill 7.8 mm, 118 deg point; start the)
(spindle, 2489 rpm; from touching the face go 26.6 mm deep on the)
(quill's scale; 23.4 mm first, then out to clear the chips every 7.8)
(mm; back out, stop the spindle, tailstock clear of the tools)
N30 M00
(--- 4 ream by hand T1)
N31 G18 G71 G90 G40
N32 M05
(by hand from the tailstock: reamer 8 H7; start the spindle, 1214)
(rpm; from touching the face go 23.8 mm deep on the quill's scale;)
(back out, stop the spindle, tailstock clear of the tools)
N33 M00
(--- 5 countersink by hand T1)
N34 G18 G71 G90 G40
N35 M05
(by hand from the tailstock: countersink 90 deg, up to 12.5 mm; start)
(the spindle, 1156 rpm; from touching the face go 4.2 mm deep on the)
(quill's scale; let it turn once on the floor; back out, stop the)
(spindle, tailstock clear of the tools)
N36 M00
(--- 6 rough T1)
(T1: 6 cuts of at most 0.80 mm, feed 0.150 mm a turn)
N37 G18 G71 G90 G40
N38 G95 F0.15
N39 G97 S1718 M03
N40 G04 F3.0
N41 D1
N42 G00 Z1.0
N43 X18.4
N44 G01 Z-23.3 F0.15
N45 G02 X19.2 Z-23.7 I0.4 K0.0
N46 G01 X19.6
N47 G03 X19.983 Z-23.749 I-0.0003 K-0.3999
N48 G01 X21.983 Z-22.749
N49 G00 Z1.0
N50 X16.895
N51 G01 Z-15.9
N52 X17.2
N53 G03 X17.766 Z-16.017 I0.0003 K-0.4001
N54 G01 X18.166 Z-16.217
N55 G03 X18.4 Z-16.5 I-0.2831 K-0.2827
N56 G01 X20.4 Z-15.5
N57 G00 Z1.0
N58 X15.389
N59 G01 Z-15.9
N60 X16.895
N61 X18.895 Z-14.9
N62 G00 Z1.0
N63 X13.884
N64 G01 Z-15.9
N65 X15.389
N66 X17.389 Z-14.9
N67 G00 Z1.0
N68 X12.378
N69 G01 Z-15.9
N70 X12.379
N71 X13.884
N72 X15.884 Z-14.9
N73 G00 Z1.0
N74 X11.708
N75 G01 Z0.0
N76 G03 X11.744 Z-0.017 I-0.2656 K-0.2992
N77 G01 X12.144 Z-0.217
N78 G03 X12.378 Z-0.5 I-0.2829 K-0.2826
N79 G01 X14.378 Z0.5
(--- 7 finish T1)
(T1: depth 0.20 mm, feed 0.100 mm a turn)
N80 G18 G71 G90 G40
N81 G95 F0.1
N82 G97 S2291 M03
N83 D1
N84 G00 X22.0
N85 Z0.944
N86 X9.223
N87 G01 X11.344 Z-0.117
N88 X11.744 Z-0.317
N89 G03 X11.978 Z-0.6 I-0.2829 K-0.2826
N90 G01 Z-16.0
N91 X11.979 F0.03
N92 X16.8 F0.1
N93 G03 X17.366 Z-16.117 I0.0003 K-0.4001
N94 G01 X17.766 Z-16.317
N95 G03 X18.0 Z-16.6 I-0.2831 K-0.2827
N96 G01 Z-23.4
N97 G02 X18.8 Z-23.8 I0.4 K0.0 F0.05
N98 G01 X19.2 F0.1
N99 X22.2 Z-22.3
N100 G00 X126.0
N101 Z26.0
(--- 8 part off T4)
(T4: depth 2.00 mm, feed 0.050 mm a turn)
N102 G18 G71 G90 G40
N103 G95 F0.05
N104 M05
(fit T4 blade 2 mm wide, reach 16 mm; hands clear before going on)
N105 M00
(T4 blade 2 mm wide, reach 16 mm)
N106 T4 M06
N107 D4
N108 G97 S429 M03
N109 G04 F3.0
N110 G00 Z-22.5
N111 X20.351
N112 G01 X14.351 F0.05
N113 X15.351 F0.2
N114 X10.351 F0.05
N115 X11.351 F0.2
N116 X9.0 F0.05
N117 X6.8 F0.035
N118 X20.351 F0.2
N119 G00 X126.0
N120 Z26.0
N121 M05
N122 M30
%
