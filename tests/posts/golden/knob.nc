(Drawer knob)
(bar 25 mm brass, 44 out of the collet)
(zero: the finished front face)
(X is a diameter)
(starts at X50.0 Z30.0 mm, X a diameter)
(--- 1 finish T1)
(one pass, 0.2 was left on)
G18 G21 G90 G7 G40
G95 F0.08
M05
(tool 1: right-hand, nose 0.4)
M00
T1 M06
G43 H1
G96 S90 D2500 M03
G04 P3.0
G00 Z0.0
X10.0
G01 X8.0
G03 X18.0 Z-5.0 I0.0 K-5.0
G01 Z-9.0
G02 X24.0 Z-12.0 I3.0 K0.0
G01 Z-20.5
X26.0 Z-19.5
G00 X50.0
Z30.0
(--- 2 part off T3)
(stub 2.0 is left to break off)
G18 G21 G90 G7 G40
G95 F0.03
M05
(tool 3: parting blade 2.0, set its chuck-side corner)
M00
T3 M06
G43 H3
G97 S600 M03
G04 P3.0
G00 Z-22.0
X26.0
G01 X12.0
G00 X26.0
X12.4
G01 X2.0 F0.02
G00 X50.0
Z30.0
M05
M30
