%
(Screwed cap)
(Set-up 1 of 2, held in: ER25 collet)
(Stock: free-cutting brass, diameter 16 mm, 70 mm long)
(starts at X122.0 Z26.0 mm, X a diameter)
(--- 1 face T3)
(T3: depth 1.00 mm, feed 0.071 mm a turn)
N1 G18 G71 G90 G40
N2 G95 F0.071
N3 M05
(fit T3 VCMT 110302, 93 deg, right hand; hands clear before going on)
N4 M00
(T3 VCMT 110302, 93 deg, right hand)
N5 T3 M06
N6 D3
N7 G00 Z21.0
N8 X50.0
(the tip must stand 25 mm from the axis and 20 mm off the bar's end:)
(check with a rule. If not, end here: units, X as diameter or radius,)
(zero or offset are not what the program means)
N9 M00
N10 X122.0
N11 Z26.0
N12 G97 S2500 M03
N13 G04 F3.0
N14 Z2.0
N15 X18.0
N16 Z0.0
N17 G01 X-0.4 F0.071
N18 Z1.0
N19 G00 X122.0
N20 Z26.0
(--- 2 centre by hand T3)
N21 G18 G71 G90 G40
N22 M05
(by hand from the tailstock: centre drill A3.15, 3.15 mm pilot; start)
(the spindle, 2500 rpm; from touching the face go 5.3 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
N23 M00
(--- 3 drill by hand T3)
N24 G18 G71 G90 G40
N25 M05
(by hand from the tailstock: drill 6 mm, 118 deg point; start the)
(spindle, 2500 rpm; from touching the face go 13.8 mm deep on the)
(quill's scale; back out, stop the spindle, tailstock clear of the)
(tools)
N26 M00
(--- 4 countersink by hand T3)
N27 G18 G71 G90 G40
N28 M05
(by hand from the tailstock: countersink 90 deg, up to 12.5 mm; start)
(the spindle, 1517 rpm; from touching the face go 3.2 mm deep on the)
(quill's scale; let it turn once on the floor; back out, stop the)
(spindle, tailstock clear of the tools)
N29 M00
(--- 5 rough T3)
(T3: 5 cuts of at most 1.02 mm, feed 0.080 mm a turn)
N30 G18 G71 G90 G40
N31 G95 F0.08
N32 G97 S2148 M03
N33 G04 F3.0
N34 D3
N35 G00 Z1.0
N36 X14.365
N37 G01 Z-25.1 F0.08
N38 G02 X15.565 Z-25.7 I0.6 K0.0
N39 G01 X16.0
N40 X18.0 Z-24.7
N41 G00 Z1.0
N42 X12.324
N43 G01 Z-8.9
N44 X13.565
N45 G03 X13.848 Z-8.959 I-0.0003 K-0.1999
N46 G01 X14.248 Z-9.159
N47 G03 X14.365 Z-9.3 I-0.1414 K-0.1413
N48 G01 X16.365 Z-8.3
N49 G00 Z1.0
N50 X10.284
N51 G01 Z-8.9
N52 X12.324
N53 X14.324 Z-7.9
N54 G00 Z1.0
N55 X8.862
N56 G01 Z0.0
N57 X10.167 Z-0.653
N58 G03 X10.284 Z-0.794 I-0.1414 K-0.1413
N59 G01 X12.284 Z0.206
N60 G00 Z-6.3
N61 G01 X10.284
N62 G03 X10.167 Z-6.441 I-0.1999 K0.0003
N63 G01 X8.924 Z-7.063
N64 G02 X8.69 Z-7.346 I0.2829 K-0.2827
N65 G01 Z-8.5
N66 G02 X9.49 Z-8.9 I0.4 K0.0
N67 G01 X10.284
N68 X12.284 Z-7.9
(--- 6 finish T3)
(T3: depth 0.20 mm, feed 0.071 mm a turn)
N69 G18 G71 G90 G40
N70 G95 F0.071
N71 G97 S2500 M03
N72 D3
N73 G00 X18.0
N74 Z1.002
N75 X6.258
N76 G01 X8.379 Z-0.059
N77 X9.767 Z-0.753
N78 G03 X9.884 Z-0.894 I-0.1414 K-0.1413
N79 G01 Z-6.2
N80 G03 X9.767 Z-6.341 I-0.1999 K0.0003
N81 G01 X8.524 Z-6.963
N82 G02 X8.29 Z-7.246 I0.2829 K-0.2827 F0.047
N83 G01 Z-8.6 F0.071
N84 G02 X9.09 Z-9.0 I0.4 K0.0 F0.047
N85 G01 X13.165 F0.071
N86 G03 X13.448 Z-9.059 I-0.0003 K-0.1999
N87 G01 X13.848 Z-9.259
N88 G03 X13.965 Z-9.4 I-0.1414 K-0.1413
N89 G01 Z-25.2
N90 G02 X15.165 Z-25.8 I0.6 K0.0 F0.053
N91 G01 X15.6 F0.071
N92 X18.6 Z-24.3
N93 G00 X122.0
N94 Z26.0
(--- 7 thread T9)
(T9: 12 cuts of at most 0.15 mm, feed 1.000 mm a turn)
N95 G18 G71 G90 G40
N96 M05
(fit T9 threading point, 60 deg, flat 0.12; hands clear before going)
(on)
N97 M00
(T9 threading point, 60 deg, flat 0.12)
N98 T9 M06
N99 D9
N100 G97 S600 M03
N101 G04 F3.0
N102 G00 Z1.911
N103 X11.884
N104 X9.592
N105 G33 Z-7.297 K1.0
N106 G00 X11.884
N107 Z1.878
N108 X9.471
N109 G33 Z-7.297 K1.0
N110 G00 X11.884
N111 Z1.85
N112 X9.371
N113 G33 Z-7.297 K1.0
N114 G00 X11.884
N115 Z1.822
N116 X9.271
N117 G33 Z-7.297 K1.0
N118 G00 X11.884
N119 Z1.795
N120 X9.171
N121 G33 Z-7.297 K1.0
N122 G00 X11.884
N123 Z1.767
N124 X9.071
N125 G33 Z-7.297 K1.0
N126 G00 X11.884
N127 Z1.739
N128 X8.971
N129 G33 Z-7.297 K1.0
N130 G00 X11.884
N131 Z1.712
N132 X8.871
N133 G33 Z-7.297 K1.0
N134 G00 X11.884
N135 Z1.684
N136 X8.771
N137 G33 Z-7.297 K1.0
N138 G00 X11.884
N139 Z1.639
N140 X8.61
N141 G33 Z-7.297 K1.0
N142 G00 X11.884
N143 Z1.639
N144 X8.61
N145 G33 Z-7.297 K1.0
N146 G00 X11.884
N147 Z1.639
N148 X8.61
N149 G33 Z-7.297 K1.0
N150 G00 X11.884
N151 Z1.639
N152 X122.0
N153 Z26.0
(--- 8 part off T4)
(T4: depth 2.00 mm, feed 0.050 mm a turn)
N154 G18 G71 G90 G40
N155 G95 F0.05
N156 M05
(fit T4 blade 2 mm wide, reach 16 mm; hands clear before going on)
N157 M00
(T4 blade 2 mm wide, reach 16 mm)
N158 T4 M06
N159 D4
N160 G97 S550 M03
N161 G04 F3.0
N162 G00 Z-24.5
N163 X16.316
N164 G01 X10.316 F0.05
N165 X11.316 F0.2
N166 X6.316 F0.05
N167 X7.316 F0.2
N168 X3.0 F0.05
N169 X2.316 F0.035
N170 X3.316 F0.2
N171 X3.0 F0.05
N172 X1.0 F0.035
N173 X16.316 F0.2
N174 G00 X122.0
N175 Z26.0
(--- 9 break off by hand T4)
N176 G18 G71 G90 G40
N177 M05
(stop the spindle and isolate the drives, then saw or twist the piece)
(off its stub of 1 mm; dress the pip until the face is flat)
N178 M00
N179 M30
%
