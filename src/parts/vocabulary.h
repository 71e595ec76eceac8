// parts/vocabulary.h - reads families.toml and classes.toml: logic families, and the failure modes of each rate class.
#pragma once
#include <string>

#include "parts/type_file.h"

namespace halfsplit::parts {

Result<std::vector<Family>> read_families(const halfsplit::Node& document);
/// Fills classes and function_groups.
Status read_classes(const halfsplit::Node& document, Vocabulary& vocabulary);
/// "output floating or dead" -> "output-floating-or-dead": letters and digits in lower case, all else one dash.
std::string slug(std::string_view title);

}  // namespace halfsplit::parts
