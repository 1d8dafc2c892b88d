//! Grouping, fusion and disputes (Birge ratio; JCGM 100 type B bounds).
