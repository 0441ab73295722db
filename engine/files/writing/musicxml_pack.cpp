// SPDX-License-Identifier: MIT
#include "engine/files/writing/musicxml_pack.h"

#include "models/units/input_error.h"

#include <zip.h>

#include <memory>

namespace canebrake::musicxml
{

namespace
{

constexpr std::string_view media_type = "application/vnd.recordare.musicxml";
constexpr std::string_view container = R"(<?xml version="1.0" encoding="UTF-8"?>
<container>
  <rootfiles>
    <rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
  </rootfiles>
</container>
)";
constexpr time_t one_moment = 946728000; // noon, 1 January 2000: no clock in the bytes

[[noreturn]] void refuse(const std::string& why)
{
    throw InputError("compressed MusicXML: found no way to pack the score (" + why + "), wanted room for it",
                     Fault::unwritable);
}

void add(zip_t* archive, const char* path, std::string_view text, bool deflated)
{
    zip_source_t* source = zip_source_buffer(archive, text.data(), text.size(), 0);
    const zip_int64_t index = source ? zip_file_add(archive, path, source, ZIP_FL_ENC_UTF_8) : -1;
    if (index < 0) {
        zip_source_free(source);
        refuse(zip_strerror(archive));
    }
    zip_set_file_compression(archive, zip_uint64_t(index), deflated ? ZIP_CM_DEFLATE : ZIP_CM_STORE, 0);
    zip_file_set_mtime(archive, zip_uint64_t(index), one_moment, 0);
}

struct FreeSource {
    void operator()(zip_source_t* s) const { zip_source_free(s); }
};
struct Discard {
    void operator()(zip_t* z) const { zip_discard(z); }
};

} // namespace

std::string pack(std::string_view xml)
{
    zip_error_t error;
    zip_error_init(&error);
    const std::unique_ptr<zip_source_t, FreeSource> bytes(zip_source_buffer_create(nullptr, 0, 0, &error));
    zip_t* opened = bytes ? zip_open_from_source(bytes.get(), ZIP_TRUNCATE, &error) : nullptr;
    const std::string why = opened ? "" : zip_error_strerror(&error);
    zip_error_fini(&error);
    if (!opened)
        refuse(why);
    zip_source_keep(bytes.get()); // the archive lets go of its own hold when it closes
    std::unique_ptr<zip_t, Discard> archive(opened);
    add(opened, "mimetype", media_type, false);
    add(opened, "META-INF/container.xml", container, true);
    add(opened, "score.musicxml", xml, true);
    if (zip_close(opened) != 0)
        refuse(zip_strerror(opened));
    archive.release();

    zip_stat_t stat;
    zip_stat_init(&stat);
    if (zip_source_stat(bytes.get(), &stat) != 0 || zip_source_open(bytes.get()) != 0)
        refuse("it cannot be read back");
    std::string packed(std::size_t(stat.size), '\0');
    const zip_int64_t got = zip_source_read(bytes.get(), packed.data(), packed.size());
    zip_source_close(bytes.get());
    if (got != zip_int64_t(packed.size()))
        refuse("it cannot be read back");
    return packed;
}

} // namespace canebrake::musicxml
