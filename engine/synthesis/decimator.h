// SPDX-License-Identifier: MIT
#pragma once

#include <span>
#include <vector>

namespace canebrake
{

/// Brings the voice's rate down by 1, 2 or 4: a symmetric windowed-sinc low-pass (Kaiser, 80 dB), its delay
/// taken out to the nearest output sample. With 1 the samples pass as they are.
class Decimator
{
public:
    explicit Decimator(int factor);
    /// Appends what `in` completes to `out`, times `gain`.
    void process(std::span<const double> in, double gain, std::vector<float>& out);

private:
    int factor_;
    std::vector<double> taps_;
    std::vector<double> history_;
};

} // namespace canebrake
