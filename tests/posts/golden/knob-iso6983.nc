%
(Drawer knob)
(bar 25 mm brass, 44 out of the collet)
(zero: the finished front face)
(X is a diameter)
(starts at X50.0 Z30.0 mm, X a diameter)
(--- 1 finish T1)
(one pass, 0.2 was left on)
N1 G18 G71 G90 G40
N2 G95 F0.08
N3 M05
(tool 1: right-hand, nose 0.4)
N4 M00
N5 T1 M06
N6 D1
N7 G97 S1200 M03
N8 G04 F3.0
N9 G00 Z0.0
N10 X10.0
N11 G01 X8.0 F0.08
N12 G03 X18.0 Z-5.0 I0.0 K-5.0
N13 G01 Z-9.0
N14 G02 X24.0 Z-12.0 I3.0 K0.0
N15 G01 Z-20.5
N16 X26.0 Z-19.5
N17 G00 X50.0
N18 Z30.0
(--- 2 part off T3)
(stub 2.0 is left to break off)
N19 G18 G71 G90 G40
N20 G95 F0.03
N21 M05
(tool 3: parting blade 2.0, set its chuck-side corner)
N22 M00
N23 T3 M06
N24 D3
N25 G97 S600 M03
N26 G04 F3.0
N27 G00 Z-22.0
N28 X26.0
N29 G01 X12.0 F0.03
N30 G00 X26.0
N31 X12.4
N32 G01 X2.0 F0.02
N33 G00 X50.0
N34 Z30.0
N35 M05
N36 M30
%
