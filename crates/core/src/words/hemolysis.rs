use crate::document::Whole;

/// How red the fluid is, 0 (none) to 4 (severe).
///
/// # Source
/// 1+ to 4+ as graded by the quality assurance guideline of the American Society for Veterinary
/// Clinical Pathology, crossmatch section 2.8 (opening of the section read).
pub type Hemolysis = Whole<0, 4>;
