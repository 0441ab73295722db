// SPDX-License-Identifier: MIT
#pragma once

// The command-line parser, by name only: its header is large, and only the files that read options need it.

namespace CLI
{

class App;
class Option;

} // namespace CLI
