// SPDX-License-Identifier: MIT
#pragma once

#include <catch2/catch.hpp>
#include <pugixml.hpp>

#include <map>
#include <set>
#include <string>

namespace canebrake::test
{

/// How often each element stands in a document.
inline std::map<std::string, int> census(const std::string& xml)
{
    pugi::xml_document document;
    REQUIRE(document.load_buffer(xml.data(), xml.size()));
    std::map<std::string, int> counts;
    struct Walker : pugi::xml_tree_walker {
        std::map<std::string, int>* counts = nullptr;
        bool for_each(pugi::xml_node& node) override
        {
            if (node.type() == pugi::node_element)
                ++(*counts)[node.name()];
            return true;
        }
    } walker;
    walker.counts = &counts;
    document.traverse(walker);
    return counts;
}

/// Elements whose number differs.
inline std::set<std::string> differing(const std::string& a, const std::string& b)
{
    std::set<std::string> names;
    const auto one = census(a), other = census(b);
    for (const auto& [name, count] : one)
        if (const auto at = other.find(name); at == other.end() || at->second != count)
            names.insert(name);
    for (const auto& [name, count] : other)
        if (!one.contains(name))
            names.insert(name);
    return names;
}

} // namespace canebrake::test
