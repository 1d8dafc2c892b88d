//! Lengths as people write them, and as pages print them. The store and the
//! API are always millimetres; 1 in = 25.4 mm exactly, a hand is 100 mm.
