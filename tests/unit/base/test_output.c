#include "check.h"

#include "base/output.h"

#include <signal.h>
#include <sys/resource.h>
#include <unistd.h>

static struct text content(const char *s, size_t times)
{
    struct text text = TEXT_EMPTY;
    for (size_t k = 0; k < times; k++)
        text_add(&text, s);
    return text;
}

/* A folder of its own, with the path of a file that is not there yet. */
struct place {
    char folder[200], path[256];
};

static bool make_place(struct place *place)
{
    snprintf(place->folder, sizeof place->folder, "%s/rundown-output-XXXXXX", P_tmpdir);
    if (mkdtemp(place->folder) == NULL)
        return false;
    snprintf(place->path, sizeof place->path, "%s/sheet.pdf", place->folder);
    return true;
}

TEST(writes_and_replaces)
{
    struct place place;
    if (!make_place(&place))
        SKIP("no folder for passing files");
    struct text long_text = content("sixteen bytes or", 900), short_text = content("ä", 1), read = TEXT_EMPTY;
    struct text nothing = TEXT_EMPTY;
    CHECK(output_save(place.path, &long_text, NULL) == STATUS_OK);
    CHECK(output_save(place.path, &short_text, NULL) == STATUS_OK);
    CHECK(text_read_file(place.path, 1 << 20, &read) == 0);
    CHECK_TEXT(text_string(&read), "ä");
    CHECK(output_save(place.path, &nothing, NULL) == STATUS_OK);
    text_free(&long_text);
    text_free(&short_text);
    text_free(&read);
    unlink(place.path);
    rmdir(place.folder);
}

TEST(leaves_nothing_half_written)
{
    struct place place;
    if (!make_place(&place))
        SKIP("no folder for passing files");
    struct text text = content("sixteen bytes or", 5000);
    struct message message = {0};
    struct rlimit before, small;
    getrlimit(RLIMIT_FSIZE, &before);
    small = before;
    small.rlim_cur = 20000;
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &small);
    enum status status = output_save(place.path, &text, &message);
    setrlimit(RLIMIT_FSIZE, &before);
    signal(SIGXFSZ, handler);
    CHECK(status == STATUS_UNREADABLE);
    CHECK_TEXT(message.file, place.path);
    CHECK(message.remedy[0] != '\0');
    CHECK(access(place.path, F_OK) != 0);
    text_free(&text);
    rmdir(place.folder);
}

TEST(says_what_to_do)
{
    struct text text = content("x", 1);
    struct message message = {0};
    CHECK(output_save("/nowhere/at/all.html", &text, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.remedy, "folder first") != NULL);
    CHECK(output_save("/", &text, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.remedy, "file name") != NULL);
    CHECK(output_save("", &text, &message) == STATUS_UNREADABLE);
    text_free(&text);
}
