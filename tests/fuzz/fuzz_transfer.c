/* archive/export.h: a folder that is imported gives a sound book, which can be exported; or a message and no book.
 * The input is the folder's files one after the other, each below a line `=== NAME`. */
#include "archive/export.h"

#include "base/text.h"

#include <dirent.h>
#include <stdint.h>
#include <sys/stat.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void remove_tree(const char *path, int depth)
{
    DIR *list = opendir(path);
    for (struct dirent *entry; list != NULL && (entry = readdir(list)) != NULL;) {
        char name[600];
        snprintf(name, sizeof name, "%s/%s", path, entry->d_name);
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0 && unlink(name) != 0 && depth > 0)
            remove_tree(name, depth - 1);
    }
    if (list != NULL)
        closedir(list);
    rmdir(path);
}

static void write_file(const char *folder, struct span name, struct span content)
{
    char path[600];
    if (name.n == 0 || name.n > 60 || name.p[0] == '.' || memmem(name.p, name.n, "..", 2) != NULL)
        return;
    snprintf(path, sizeof path, "%s/%.*s", folder, (int)name.n, name.p);
    FILE *file = fopen(path, "wb");
    if (file == NULL)
        return;
    fwrite(content.p, 1, content.n, file);
    fclose(file);
}

static void unpack(const char *folder, struct span rest)
{
    static const char mark[] = "=== ";
    while (rest.n > 4 && memcmp(rest.p, mark, 4) == 0) {
        const char *end = rest.p + rest.n, *line = memchr(rest.p, '\n', rest.n);
        const char *content = line != NULL ? line + 1 : end;
        const char *next = content < end ? memmem(content, (size_t)(end - content), "\n=== ", 5) : NULL;
        const char *stop = next != NULL ? next + 1 : end;
        if (memchr(rest.p, '\0', (size_t)(content - rest.p)) == NULL && line != NULL)
            write_file(folder, (struct span){rest.p + 4, (size_t)(line - rest.p) - 4},
                       (struct span){content, (size_t)(stop - content)});
        rest = (struct span){stop, (size_t)(end - stop)};
    }
}

static void judge(const char *book_file, const char *out)
{
    struct book_options options = {.access = BOOK_READ};
    struct transfer transfer = {0};
    struct message message = {0};
    struct book *book = NULL;
    long faults = 0;
    if (book_open(book_file, &options, &book, &message) != STATUS_OK ||
        book_check(book, NULL, NULL, NULL, &faults, &message) != STATUS_OK || faults > 0 ||
        book_export(book, out, &transfer, &message) != STATUS_OK)
        abort();
    book_close(book);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char folder[100], in[128], out[128], path[128], below[160];
    struct transfer transfer = {0};
    struct message message = {0};
    struct stat about;
    snprintf(folder, sizeof folder, "%s/rundown-fuzz-XXXXXX", P_tmpdir);
    if (mkdtemp(folder) == NULL)
        return 0;
    snprintf(in, sizeof in, "%s/in", folder);
    snprintf(out, sizeof out, "%s/out", folder);
    snprintf(path, sizeof path, "%s/a.book", folder);
    mkdir(in, 0700);
    snprintf(below, sizeof below, "%s/readings", in);
    mkdir(below, 0700);
    snprintf(below, sizeof below, "%s/pictures", in);
    mkdir(below, 0700);
    unpack(in, (struct span){(const char *)data, size});
    enum status status = book_import(in, path, &transfer, &message);
    bool there = stat(path, &about) == 0;
    if (there != (status == STATUS_OK) || (status != STATUS_OK && message.what[0] == '\0'))
        abort();
    if (status == STATUS_OK)
        judge(path, out);
    remove_tree(folder, 3);
    return 0;
}
