#include "check.h"

#include "base/memory.h"
#include "draw/raster.h"

#include <sys/mman.h>
#include <unistd.h>

static struct figure sample(bool with_line)
{
    struct figure figure;
    figure_init(&figure, 120.5, 60, "Curve", NULL);
    if (with_line)
        figure_line(&figure, 3, 3, 90, 50, (struct stroke){INK_FIRST, 2, LINE_DASHED});
    figure_text(&figure, 20, 30, (struct lettering){.halo = true}, "12.8 V");
    return figure;
}

/* Saves into a file in memory and reads it back. */
static struct text picture(const struct figure *figure, double scale)
{
    struct text png = TEXT_EMPTY;
    char path[64];
    int file = memfd_create("picture", 0);
    snprintf(path, sizeof path, "/proc/self/fd/%d", file);
    CHECK(raster_save(figure, scale, path, NULL) == STATUS_OK);
    CHECK(text_read_file(path, 1 << 20, &png) == 0);
    close(file);
    return png;
}

static unsigned big_endian(const char *p)
{
    const unsigned char *b = (const unsigned char *)p;
    return (unsigned)b[0] << 24 | (unsigned)b[1] << 16 | (unsigned)b[2] << 8 | b[3];
}

TEST(writes_a_png_of_the_size_asked_for)
{
    struct figure figure = sample(true);
    struct text png = picture(&figure, 2);
    CHECK(png.length > 100 && memcmp(png.s, "\x89PNG\r\n\x1a\n", 8) == 0);
    CHECK(big_endian(png.s + 16) == 241 && big_endian(png.s + 20) == 120);
    struct text again = picture(&figure, 2);
    CHECK(png.length == again.length && memcmp(png.s, again.s, png.length) == 0);
    struct figure other = sample(false);
    struct text bare = picture(&other, 2);
    CHECK(bare.length < png.length); /* the line was drawn */
    text_free(&png);
    text_free(&again);
    text_free(&bare);
    figure_free(&figure);
    figure_free(&other);
}

TEST(refuses_what_cannot_be_made_or_written)
{
    struct figure figure = sample(true);
    struct message message = {0};
    CHECK(raster_save(&figure, 1e6, "large.png", &message) == STATUS_LIMIT);
    CHECK(strstr(message.remedy, "20000 pixels") != NULL);
    CHECK(raster_save(&figure, 0, "none.png", &message) == STATUS_LIMIT);
    CHECK(raster_save(&figure, NAN, "none.png", NULL) == STATUS_LIMIT);
    CHECK(raster_save(&figure, 1, "/nowhere/at/all.png", &message) == STATUS_UNREADABLE);
    CHECK_TEXT(message.file, "/nowhere/at/all.png");
    CHECK(message.remedy[0] != '\0');
    figure_free(&figure);
}
