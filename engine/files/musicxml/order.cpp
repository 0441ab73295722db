// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/order.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <set>

namespace canebrake::musicxml
{

namespace
{

struct Ending {
    int first = 0, last = 0;
    std::vector<int> numbers;
    int group = 0; ///< endings that follow one another without a gap
    bool has_pass(int pass) const { return std::find(numbers.begin(), numbers.end(), pass) != numbers.end(); }
};

std::vector<Ending> find_endings(const std::vector<Flow>& bars)
{
    std::vector<Ending> endings;
    const int count = int(bars.size());
    for (int i = 0; i < count; ++i) {
        if (!bars[std::size_t(i)].ending_start)
            continue;
        Ending ending{i, i, bars[std::size_t(i)].ending_numbers, 0};
        // To its stop; without one to the repeat sign, else it is one bar.
        for (int j = i; j < count && (j == i || !bars[std::size_t(j)].ending_start); ++j) {
            if (bars[std::size_t(j)].ending_stop || bars[std::size_t(j)].backward) {
                ending.last = j;
                break;
            }
        }
        const bool continues = !endings.empty() && endings.back().last + 1 == i;
        ending.group = endings.empty() ? 0 : endings.back().group + (continues ? 0 : 1);
        if (ending.numbers.empty())
            ending.numbers = {continues && !endings.back().numbers.empty() ? endings.back().numbers.back() + 1
                                                                           : 1};
        endings.push_back(std::move(ending));
    }
    return endings;
}

class Walk
{
public:
    Walk(const std::vector<Flow>& bars, const std::string& name, std::vector<std::string>& remarks)
        : bars_(bars), name_(name), remarks_(remarks), endings_(find_endings(bars)),
          ending_of_(bars.size(), -1)
    {
        for (std::size_t e = 0; e < endings_.size(); ++e)
            for (int i = endings_[e].first; i <= endings_[e].last; ++i)
                ending_of_[std::size_t(i)] = int(e);
    }

    std::vector<int> order()
    {
        const int count = int(bars_.size());
        const std::size_t most = 100 * bars_.size();
        int i = 0;
        while (i < count) {
            const Flow& flow = bars_[std::size_t(i)];
            if (flow.forward && came_back_to_ != i)
                sections_.push_back({i, 1});
            came_back_to_ = -1;
            const int e = ending_of_[std::size_t(i)];
            if (e >= 0 && endings_[std::size_t(e)].first == i && !plays(e)) {
                i = endings_[std::size_t(e)].last + 1;
                continue;
            }
            order_.push_back(i);
            if (order_.size() > most)
                throw InputError(name_ + ": found repeats that ask for more than " + std::to_string(most) +
                                 " bars out of " + std::to_string(count) +
                                 ", wanted a piece that comes to its end");
            i = after(i);
        }
        return std::move(order_);
    }

private:
    struct Section {
        int start = 0;
        int pass = 1;
    };

    bool is_last_of_group(int e) const
    {
        const auto next = std::size_t(e) + 1;
        return next >= endings_.size() || endings_[next].group != endings_[std::size_t(e)].group;
    }
    bool group_has(int e, auto&& wanted) const
    {
        return std::any_of(endings_.begin(), endings_.end(), [&](const Ending& other) {
            return other.group == endings_[std::size_t(e)].group && wanted(other);
        });
    }
    bool repeats_after_jump(int e) const
    {
        return group_has(e, [&](const Ending& other) { return bars_[std::size_t(other.last)].after_jump; });
    }

    bool plays(int e) const
    {
        const bool alone = is_last_of_group(e) && (e == 0 || is_last_of_group(e - 1));
        if (jumped_ && !repeats_after_jump(e))
            return is_last_of_group(e) &&
                   !(alone && bars_[std::size_t(endings_[std::size_t(e)].last)].backward);
        const int pass = sections_.back().pass;
        if (endings_[std::size_t(e)].has_pass(pass))
            return true;
        const bool nobody = !group_has(e, [&](const Ending& other) { return other.has_pass(pass); });
        return nobody && !alone && is_last_of_group(e);
    }

    /// Whether the backward repeat at bar i is taken now.
    bool goes_back(int i) const
    {
        const Flow& flow = bars_[std::size_t(i)];
        if (!flow.backward || (jumped_ && !flow.after_jump))
            return false;
        const int pass = sections_.back().pass;
        const int e = ending_of_[std::size_t(i)];
        if (e < 0)
            return pass < (flow.times > 0 ? flow.times : 2);
        const bool alone = is_last_of_group(e) && (e == 0 || is_last_of_group(e - 1));
        const auto& numbers = endings_[std::size_t(e)].numbers;
        if (alone) // the second ending is not marked
            return pass <= *std::max_element(numbers.begin(), numbers.end());
        return group_has(e, [&](const Ending& other) {
            return std::any_of(other.numbers.begin(), other.numbers.end(), [&](int n) { return n > pass; });
        });
    }

    void close_section(int i)
    {
        if (sections_.size() > 1)
            sections_.pop_back();
        if (sections_.size() == 1)
            sections_[0] = {i + 1, 1};
    }

    int jump_to(int target)
    {
        sections_.assign(1, {target, 1});
        return target;
    }

    int after(int i)
    {
        const Flow& flow = bars_[std::size_t(i)];
        if (goes_back(i)) {
            ++sections_.back().pass;
            came_back_to_ = sections_.back().start;
            return came_back_to_;
        }
        const int e = ending_of_[std::size_t(i)];
        if (flow.backward || (e >= 0 && endings_[std::size_t(e)].last == i && is_last_of_group(e)))
            close_section(i);
        if (jumped_ && flow.fine)
            return int(bars_.size());
        if (jumped_ && !flow.to_coda.empty() && taken_.insert(-1 - i).second) {
            const int coda = find_name(&Flow::coda, flow.to_coda, i);
            if (coda >= 0)
                return jump_to(coda);
            remarks_.push_back("a jump to the coda leads nowhere; played on");
        }
        if ((flow.da_capo || !flow.dal_segno.empty()) && taken_.insert(i).second) {
            const int segno = flow.da_capo ? 0 : find_name(&Flow::segno, flow.dal_segno, -1);
            if (segno >= 0) {
                jumped_ = true;
                return jump_to(segno);
            }
            remarks_.push_back("a Dal Segno finds no segno; played on");
        }
        return i + 1;
    }

    /// The bar of that name; else the first after `from`; else the first. -1: none.
    int find_name(std::string Flow::*sign, const std::string& wanted, int from) const
    {
        int first = -1, first_after = -1;
        for (int i = 0; i < int(bars_.size()); ++i) {
            const std::string& name = bars_[std::size_t(i)].*sign;
            if (name.empty())
                continue;
            if (name == wanted)
                return i;
            first = first < 0 ? i : first;
            first_after = first_after < 0 && i > from ? i : first_after;
        }
        return first_after >= 0 ? first_after : first;
    }

    const std::vector<Flow>& bars_;
    const std::string& name_;
    std::vector<std::string>& remarks_;
    std::vector<Ending> endings_;
    std::vector<int> ending_of_;
    std::vector<Section> sections_{{0, 1}};
    std::vector<int> order_;
    std::set<int> taken_; // jumps already made: bar index, or -1 - index for the coda
    int came_back_to_ = -1;
    bool jumped_ = false;
};

} // namespace

std::vector<Flow> merged_flow(const std::vector<WrittenPart>& parts)
{
    std::vector<Flow> merged;
    for (const WrittenPart& part : parts) {
        merged.resize(std::max(merged.size(), part.bars.size()));
        for (std::size_t i = 0; i < part.bars.size(); ++i) {
            const Flow& flow = part.bars[i].flow;
            Flow& all = merged[i];
            all.forward |= flow.forward;
            all.backward |= flow.backward;
            all.after_jump |= flow.after_jump;
            all.times = std::max(all.times, flow.times);
            if (flow.ending_start && !all.ending_start)
                all.ending_numbers = flow.ending_numbers;
            all.ending_start |= flow.ending_start;
            all.ending_stop |= flow.ending_stop;
            all.da_capo |= flow.da_capo;
            all.fine |= flow.fine;
            for (auto name : {&Flow::segno, &Flow::coda, &Flow::dal_segno, &Flow::to_coda, &Flow::jump_words})
                if ((all.*name).empty())
                    all.*name = flow.*name;
        }
    }
    return merged;
}

std::vector<int> playing_order(const std::vector<Flow>& bars, const std::string& name,
                               std::vector<std::string>& remarks)
{
    const bool jumps = std::any_of(bars.begin(), bars.end(),
                                   [](const Flow& flow) { return flow.da_capo || !flow.dal_segno.empty(); });
    if (!jumps)
        for (const Flow& flow : bars)
            if (!flow.jump_words.empty())
                remarks.push_back("'" + flow.jump_words + "' stands only in words; the jump is not played");
    return Walk(bars, name, remarks).order();
}

} // namespace canebrake::musicxml
