/* Embed: turns files into one C source, the table that src/web/assets.h declares. Runs while the program is built.
 *
 * usage: embed OUTPUT ADDRESS=FILE…
 *
 * Each file is kept as gzip (RFC 1952), always the same bytes for the same file, and tagged by what it holds. */
#include "book/checksum.h"

#include <zlib.h>

enum { FILES = 400 };
static const size_t file_limit = 4 << 20;

struct source {
    const char *address, *path;
};

static const struct media {
    const char *ending, *type;
} medias[] = {
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
};

static void stop(const char *path, const char *what)
{
    fprintf(stderr, "embed: %s: %s\n", path, what);
    exit(1);
}

static const char *type_of(const char *path)
{
    const char *ending = strrchr(path, '.');
    for (size_t k = 0; ending != NULL && k < sizeof medias / sizeof *medias; k++)
        if (strcmp(ending, medias[k].ending) == 0)
            return medias[k].type;
    stop(path, "no media type is known for this ending");
    return NULL;
}

static unsigned char *read_whole(const char *path, size_t *ret_size)
{
    FILE *file = fopen(path, "rb");
    unsigned char *bytes = malloc(file_limit);
    if (file == NULL || bytes == NULL)
        stop(path, "cannot be read");
    size_t size = fread(bytes, 1, file_limit, file);
    if (ferror(file) || size == 0 || size == file_limit)
        stop(path, "is empty, too large, or cannot be read");
    fclose(file);
    *ret_size = size;
    return bytes;
}

static unsigned char *pack(const char *path, unsigned char *bytes, size_t size, size_t *ret_packed)
{
    enum { GZIP_WINDOW = 15 + 16, MOST_MEMORY = 9 };
    z_stream stream = {.next_in = bytes, .avail_in = (uInt)size};
    if (deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, GZIP_WINDOW, MOST_MEMORY, Z_DEFAULT_STRATEGY) != Z_OK)
        stop(path, "cannot be packed");
    size_t room = deflateBound(&stream, (uLong)size);
    unsigned char *packed = malloc(room);
    stream.next_out = packed;
    stream.avail_out = (uInt)room;
    if (packed == NULL || deflate(&stream, Z_FINISH) != Z_STREAM_END)
        stop(path, "cannot be packed");
    *ret_packed = stream.total_out;
    deflateEnd(&stream);
    return packed;
}

static void write_bytes(FILE *out, size_t number, const unsigned char *bytes, size_t size)
{
    fprintf(out, "static const unsigned char bytes_%zu[] = {", number);
    for (size_t k = 0; k < size; k++)
        fprintf(out, "%s%u,", k % 32 == 0 ? "\n" : "", bytes[k]);
    fprintf(out, "\n};\n");
}

static void write_one(FILE *out, FILE *table, size_t number, const struct source *source)
{
    size_t size, packed_size;
    unsigned char *bytes = read_whole(source->path, &size);
    unsigned char *packed = pack(source->path, bytes, size, &packed_size);
    write_bytes(out, number, packed, packed_size);
    fprintf(table, "    {\"%s\", \"%s\", \"%016llx\", bytes_%zu, %zu},\n", source->address, type_of(source->path),
            (unsigned long long)checksum(packed, packed_size, 0), number, packed_size);
    free(packed);
    free(bytes);
}

static int by_address(const void *a, const void *b)
{
    return strcmp(((const struct source *)a)->address, ((const struct source *)b)->address);
}

int main(int argc, char **argv)
{
    static struct source sources[FILES];
    size_t count = 0;
    for (int k = 2; k < argc; k++) {
        char *mark = strchr(argv[k], '=');
        if (mark == NULL || count == FILES)
            stop(argv[k], "ADDRESS=FILE is wanted, and not too many of them");
        *mark = '\0';
        sources[count++] = (struct source){argv[k], mark + 1};
    }
    if (count == 0)
        stop("usage", "embed OUTPUT ADDRESS=FILE...");
    qsort(sources, count, sizeof *sources, by_address);
    FILE *out = fopen(argv[1], "w");
    char *rows = NULL;
    size_t rows_size = 0;
    FILE *table = open_memstream(&rows, &rows_size);
    if (out == NULL || table == NULL)
        stop(argv[1], "cannot be written");
    fprintf(out, "/* Made by tools/embed.c from ui/: change it there. */\n#include \"web/assets.h\"\n\n");
    for (size_t k = 0; k < count; k++)
        write_one(out, table, k, &sources[k]);
    fclose(table);
    fprintf(out, "\nconst struct asset assets[] = {\n%s};\nconst size_t asset_count = %zu;\n", rows, count);
    free(rows);
    if (fclose(out) != 0)
        stop(argv[1], "cannot be written");
    return 0;
}
