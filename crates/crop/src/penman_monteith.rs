//! Reference evapotranspiration of FAO paper 56: the combination equation with
//! published worked examples. Not used for rooms; it proves the algebra that is.

