(Drawer knob)
(bar 25 mm brass, 44 out of the collet)
(zero: the finished front face)
(X is a diameter)
(starts at X25.0 Z30.0 mm, X a radius)
(--- 1 finish T1)
(one pass, 0.2 was left on)
G18 G21 G90
G94 F96.0
M05
(tool 1: right-hand, nose 0.4)
M00
(now in the post: T1)
S1200 M03
G04 P3.0
G00 Z0.0
X5.0
G01 X4.0
G03 X9.0 Z-5.0 I0.0 K-5.0
G01 Z-9.0
G02 X12.0 Z-12.0 I3.0 K0.0
G01 Z-20.5
X13.0 Z-19.5
G00 X25.0
Z30.0
(--- 2 part off T3)
(stub 2.0 is left to break off)
G18 G21 G90
G94 F18.0
M05
(tool 3: parting blade 2.0, set its chuck-side corner)
M00
(now in the post: T3)
S600 M03
G04 P3.0
G00 Z-22.0
X13.0
G01 X6.0
G00 X13.0
X6.2
G01 X1.0 F12.0
G00 X25.0
Z30.0
M05
M30
