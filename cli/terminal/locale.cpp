// SPDX-License-Identifier: MIT
#include "cli/terminal/locale.h"

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <string>

namespace canebrake
{

bool locale_is_utf8()
{
    for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"})
        if (const char* value = std::getenv(name); value != nullptr && *value != '\0') {
            std::string text = value;
            std::transform(text.begin(), text.end(), text.begin(),
                           [](unsigned char c) { return char(std::tolower(c)); });
            return text.find("utf-8") != std::string::npos || text.find("utf8") != std::string::npos;
        }
    return false;
}

} // namespace canebrake
