// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/container.h"

#include "models/units/input_error.h"

#include <zip.h>

#include <cstring>
#include <memory>
#include <pugixml.hpp>
#include <vector>

namespace canebrake::musicxml
{

namespace
{

// The largest real score at hand, a symphony movement, is 2.8 MB of text and packs 18 to 1.
constexpr zip_uint64_t largest_entry = 64u << 20;
constexpr zip_uint64_t largest_growth = 300;
constexpr zip_uint64_t growth_matters_above = 4u << 20;
constexpr zip_int64_t most_entries = 10000;

struct CloseArchive {
    void operator()(zip_t* z) const { zip_discard(z); }
};
struct CloseEntry {
    void operator()(zip_file_t* f) const { zip_fclose(f); }
};
using Archive = std::unique_ptr<zip_t, CloseArchive>;

std::string_view local_name(const char* name)
{
    const char* colon = std::strrchr(name, ':');
    return colon ? colon + 1 : name;
}

bool ends_with(std::string_view text, std::string_view tail)
{
    if (text.size() < tail.size())
        return false;
    for (std::size_t i = 0; i < tail.size(); ++i)
        if (std::tolower(static_cast<unsigned char>(text[text.size() - tail.size() + i])) != tail[i])
            return false;
    return true;
}

Archive open_archive(std::string_view bytes, const std::string& name)
{
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t* source = zip_source_buffer_create(bytes.data(), bytes.size(), 0, &error);
    zip_t* archive = source ? zip_open_from_source(source, ZIP_RDONLY, &error) : nullptr;
    if (!archive && source)
        zip_source_free(source);
    const std::string why = archive ? "" : zip_error_strerror(&error);
    zip_error_fini(&error);
    if (!archive)
        throw InputError(name + ": found a damaged or truncated zip file (" + why +
                         "), wanted compressed MusicXML");
    return Archive(archive);
}

std::string read_entry(zip_t* archive, zip_uint64_t index, const std::string& name)
{
    zip_stat_t stat;
    zip_stat_init(&stat);
    if (zip_stat_index(archive, index, 0, &stat) != 0)
        throw InputError(name + ": found a damaged zip entry, wanted compressed MusicXML");
    const std::string place = name + " (" + stat.name + ")";
    const auto refuse = [&](zip_uint64_t size) {
        if (size > largest_entry || (size > growth_matters_above &&
                                     size / largest_growth > std::max<zip_uint64_t>(stat.comp_size, 1)))
            throw InputError(place + ": found " + std::to_string(size >> 20) + " MiB packed into " +
                             std::to_string(stat.comp_size >> 10) + " KiB, wanted at most " +
                             std::to_string(largest_entry >> 20) + " MiB and a growth of " +
                             std::to_string(largest_growth) + " times");
    };
    refuse(stat.size);
    std::unique_ptr<zip_file_t, CloseEntry> file(zip_fopen_index(archive, index, 0));
    if (!file)
        throw InputError(place + ": found an entry that cannot be opened (" + zip_strerror(archive) +
                         "), wanted plain or deflated MusicXML");
    std::string text;
    std::vector<char> block(1 << 16);
    for (;;) {
        const zip_int64_t got = zip_fread(file.get(), block.data(), block.size());
        if (got < 0)
            throw InputError(place + ": found a damaged entry (" + zip_file_strerror(file.get()) +
                             "), wanted compressed MusicXML");
        if (got == 0)
            return text;
        text.append(block.data(), std::size_t(got));
        refuse(text.size()); // the size it claims may be a lie
    }
}

/// What META-INF/container.xml names as the score; empty if it names none.
std::string named_by_container(zip_t* archive, const std::string& name)
{
    const zip_int64_t index = zip_name_locate(archive, "META-INF/container.xml", 0);
    if (index < 0)
        return {};
    const std::string text = read_entry(archive, zip_uint64_t(index), name);
    pugi::xml_document document;
    if (!document.load_buffer(text.data(), text.size()))
        return {};
    for (const pugi::xml_node files : document.document_element().children()) {
        if (local_name(files.name()) != "rootfiles")
            continue;
        for (const pugi::xml_node file : files.children()) {
            const std::string_view type = file.attribute("media-type").value();
            const bool music = type.empty() || type.find("musicxml") != std::string_view::npos;
            const char* path = file.attribute("full-path").value();
            if (local_name(file.name()) == "rootfile" && music && zip_name_locate(archive, path, 0) >= 0)
                return path;
        }
    }
    return {};
}

} // namespace

std::string unpack(std::string_view bytes, const std::string& name)
{
    if (bytes.empty())
        throw InputError(name + ": found an empty file, wanted MusicXML");
    if (bytes.starts_with("%PDF"))
        throw InputError(name + ": found a PDF, wanted MusicXML");
    if (!bytes.starts_with("PK"))
        return std::string(bytes);

    const Archive archive = open_archive(bytes, name);
    const zip_int64_t count = zip_get_num_entries(archive.get(), 0);
    if (count > most_entries)
        throw InputError(name + ": found " + std::to_string(count) + " files inside, wanted one score");
    std::string wanted = named_by_container(archive.get(), name);
    std::string seen;
    for (zip_int64_t i = 0; i < count && wanted.empty(); ++i) {
        const char* entry = zip_get_name(archive.get(), zip_uint64_t(i), 0);
        if (!entry)
            continue;
        const std::string_view path = entry;
        if (path.starts_with("META-INF/") || path.starts_with("__MACOSX/"))
            continue;
        if (ends_with(path, ".musicxml") || ends_with(path, ".xml"))
            wanted = path;
        else if (seen.empty())
            seen = path;
    }
    if (wanted.empty())
        throw InputError(name + ": found no MusicXML inside the zip file" +
                         (seen.empty() ? "" : " (but " + seen + ")") +
                         ", wanted a .musicxml or .xml file in it");
    const std::string text =
        read_entry(archive.get(), zip_uint64_t(zip_name_locate(archive.get(), wanted.c_str(), 0)), name);
    const std::string place = name + " (" + wanted + ")";
    if (text.empty())
        throw InputError(place + ": found an empty file, wanted MusicXML");
    if (text.starts_with("%PDF"))
        throw InputError(place + ": found a PDF, wanted MusicXML");
    return text;
}

} // namespace canebrake::musicxml
