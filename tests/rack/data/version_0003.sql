-- A rack as version 0003 of the tables held it. Load with executescript, then set application_id.
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE board_photos (
	board VARCHAR(36) NOT NULL, 
	no INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	PRIMARY KEY (board, no), 
	FOREIGN KEY(board) REFERENCES boards (id), 
	FOREIGN KEY(digest) REFERENCES photos (digest)
);
CREATE TABLE boards (
	"row" INTEGER NOT NULL, 
	id VARCHAR(36) NOT NULL, 
	name TEXT NOT NULL, 
	state TEXT NOT NULL, 
	species TEXT NOT NULL, 
	quarters TEXT NOT NULL, 
	nominal TEXT NOT NULL, 
	length TEXT NOT NULL, 
	width TEXT NOT NULL, 
	thickness TEXT NOT NULL, 
	bow TEXT NOT NULL, 
	cup TEXT NOT NULL, 
	crook TEXT NOT NULL, 
	twist TEXT NOT NULL, 
	length_um BIGINT NOT NULL, 
	width_um BIGINT NOT NULL, 
	thickness_um BIGINT NOT NULL, 
	sawn TEXT NOT NULL, 
	stress TEXT NOT NULL, 
	cost TEXT, 
	price_bf TEXT, 
	price_m3 TEXT, 
	datum_sound BOOLEAN NOT NULL, 
	far_sound BOOLEAN NOT NULL, 
	notes TEXT NOT NULL, 
	dealer TEXT NOT NULL, 
	grade TEXT NOT NULL, 
	place TEXT NOT NULL, 
	remarks TEXT NOT NULL, 
	why TEXT NOT NULL, 
	moisture TEXT NOT NULL, 
	parent VARCHAR(36), 
	parent_x TEXT, 
	parent_y TEXT, 
	parent_layer INTEGER, 
	parent_layers INTEGER, 
	PRIMARY KEY ("row"), 
	UNIQUE (id)
);
INSERT INTO "boards" VALUES(1,'11111111-1111-4111-8111-111111111111','A1','on rack','ash','4/4','1','95','8','1','0','0','0','0',2413000,203200,25400,'','unknown','48',NULL,NULL,0,0,'{}','Hill','','','','','',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "boards" VALUES(2,'22222222-2222-4222-8222-222222222222','=B1 狭い','retired','ash','4/4','1','197/2','8','1','0','0','0','0',2501900,203200,25400,'','unknown',NULL,NULL,NULL,0,0,'{}','','','','two
lines','sold','',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE change_boards (
	seq INTEGER NOT NULL, 
	no INTEGER NOT NULL, 
	board VARCHAR(36) NOT NULL, 
	"before" TEXT, 
	"after" TEXT, 
	PRIMARY KEY (seq, no), 
	FOREIGN KEY(seq) REFERENCES changes (seq)
);
INSERT INTO "change_boards" VALUES(1,0,'11111111-1111-4111-8111-111111111111',NULL,'{"bow":"0","cost":"48","crook":"0","cup":"0","datum_sound":false,"dealer":"Hill","defects":[["knot","A","15","2","1","1/2",{}]],"edges":[],"far_sound":false,"grade":"","id":"11111111-1111-4111-8111-111111111111","length":"96","moisture":[],"name":"A1","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"","sawn":"","species":"ash","state":"on rack","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"","width":"8"}');
INSERT INTO "change_boards" VALUES(2,0,'22222222-2222-4222-8222-222222222222',NULL,'{"bow":"0","cost":null,"crook":"0","cup":"0","datum_sound":false,"dealer":"","defects":[],"edges":[],"far_sound":false,"grade":"","id":"22222222-2222-4222-8222-222222222222","length":"197/2","moisture":[],"name":"=B1 狭い","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"two\nlines","sawn":"","species":"ash","state":"on rack","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"","width":"8"}');
INSERT INTO "change_boards" VALUES(3,0,'11111111-1111-4111-8111-111111111111','{"bow":"0","cost":"48","crook":"0","cup":"0","datum_sound":false,"dealer":"Hill","defects":[["knot","A","15","2","1","1/2",{}]],"edges":[],"far_sound":false,"grade":"","id":"11111111-1111-4111-8111-111111111111","length":"96","moisture":[],"name":"A1","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"","sawn":"","species":"ash","state":"on rack","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"","width":"8"}','{"bow":"0","cost":"48","crook":"0","cup":"0","datum_sound":false,"dealer":"Hill","defects":[["knot","A","15","2","1","1/2",{}]],"edges":[],"far_sound":false,"grade":"","id":"11111111-1111-4111-8111-111111111111","length":"95","moisture":[],"name":"A1","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"","sawn":"","species":"ash","state":"on rack","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"","width":"8"}');
INSERT INTO "change_boards" VALUES(4,0,'22222222-2222-4222-8222-222222222222','{"bow":"0","cost":null,"crook":"0","cup":"0","datum_sound":false,"dealer":"","defects":[],"edges":[],"far_sound":false,"grade":"","id":"22222222-2222-4222-8222-222222222222","length":"197/2","moisture":[],"name":"=B1 狭い","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"two\nlines","sawn":"","species":"ash","state":"on rack","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"","width":"8"}','{"bow":"0","cost":null,"crook":"0","cup":"0","datum_sound":false,"dealer":"","defects":[],"edges":[],"far_sound":false,"grade":"","id":"22222222-2222-4222-8222-222222222222","length":"197/2","moisture":[],"name":"=B1 狭い","nominal":"1","notes":{},"origin":null,"photos":[],"place":"","price_bf":null,"price_m3":null,"quarters":"4/4","remarks":"two\nlines","sawn":"","species":"ash","state":"retired","stress":"unknown","thickness":"1","thickness_points":[],"twist":"0","why":"sold","width":"8"}');
INSERT INTO "change_boards" VALUES(5,0,'11111111-1111-4111-8111-111111111111',NULL,NULL);
CREATE TABLE changes (
	seq INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	at TEXT NOT NULL, 
	who TEXT NOT NULL, 
	what TEXT NOT NULL, 
	remark TEXT NOT NULL, 
	"key" TEXT, 
	key_digest TEXT, 
	undone_by INTEGER, 
	undoes INTEGER, 
	UNIQUE ("key")
);
INSERT INTO "changes" VALUES(1,'2023-11-14T22:13:20.000Z','Ann','log','',NULL,'df7d1b263d843cb52b008e3293a3d6bcd7bfdab78cc74ddce932eee8c0c079b4',NULL,NULL);
INSERT INTO "changes" VALUES(2,'2023-11-14T22:13:20.000Z','Ann','log','',NULL,'f8c1da6bb2033069fee7a735b3236bd86acbb080c8ea87b03399d798978a2422',NULL,NULL);
INSERT INTO "changes" VALUES(3,'2023-11-14T22:13:20.000Z','Ann','correct','',NULL,'826c45f2a9985a7a457151d2bed28dd7c949110975d5d7cb0f8b0bf4f6ff65bb',NULL,NULL);
INSERT INTO "changes" VALUES(4,'2023-11-14T22:13:20.000Z','Ann','retire','sold',NULL,NULL,NULL,NULL);
INSERT INTO "changes" VALUES(5,'2023-11-14T22:13:20.000Z','Ann','hold','for sideboard',NULL,NULL,NULL,NULL);
CREATE TABLE cuttings (
	seq INTEGER NOT NULL, 
	board VARCHAR(36) NOT NULL, 
	job TEXT NOT NULL, 
	bought TEXT NOT NULL, 
	kept TEXT NOT NULL, 
	parts TEXT NOT NULL, 
	cost TEXT NOT NULL, 
	credit TEXT NOT NULL, 
	PRIMARY KEY (seq, board), 
	FOREIGN KEY(seq) REFERENCES changes (seq), 
	FOREIGN KEY(board) REFERENCES boards (id)
);
CREATE TABLE defects (
	board VARCHAR(36) NOT NULL, 
	no INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	face TEXT NOT NULL, 
	x TEXT NOT NULL, 
	y TEXT NOT NULL, 
	length TEXT NOT NULL, 
	width TEXT NOT NULL, 
	notes TEXT NOT NULL, 
	PRIMARY KEY (board, no), 
	FOREIGN KEY(board) REFERENCES boards (id)
);
INSERT INTO "defects" VALUES('11111111-1111-4111-8111-111111111111',0,'knot','A','15','2','1','1/2','{}');
CREATE TABLE edges (
	board VARCHAR(36) NOT NULL, 
	no INTEGER NOT NULL, 
	x TEXT NOT NULL, 
	near TEXT NOT NULL, 
	far TEXT NOT NULL, 
	notes TEXT NOT NULL, 
	PRIMARY KEY (board, no), 
	FOREIGN KEY(board) REFERENCES boards (id)
);
CREATE TABLE holds (
	board VARCHAR(36) NOT NULL, 
	job TEXT NOT NULL, 
	token TEXT, 
	who TEXT NOT NULL, 
	taken_at TEXT NOT NULL, 
	until BIGINT NOT NULL, 
	PRIMARY KEY (board), 
	FOREIGN KEY(board) REFERENCES boards (id)
);
INSERT INTO "holds" VALUES('11111111-1111-4111-8111-111111111111','sideboard',NULL,'Ann','2023-11-14T22:13:20.000Z',2700000000);
CREATE TABLE photos (
	digest VARCHAR(64) NOT NULL, 
	kind TEXT NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	content BLOB NOT NULL, 
	PRIMARY KEY (digest)
);
CREATE TABLE taken (
	seq INTEGER NOT NULL, 
	board VARCHAR(36) NOT NULL, 
	no INTEGER NOT NULL, 
	piece TEXT NOT NULL, 
	part TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	x TEXT NOT NULL, 
	y TEXT NOT NULL, 
	length TEXT NOT NULL, 
	width TEXT NOT NULL, 
	thickness TEXT NOT NULL, 
	layer INTEGER NOT NULL, 
	PRIMARY KEY (seq, board, no)
);
CREATE TABLE thickness_points (
	board VARCHAR(36) NOT NULL, 
	no INTEGER NOT NULL, 
	x TEXT NOT NULL, 
	thickness TEXT NOT NULL, 
	PRIMARY KEY (board, no), 
	FOREIGN KEY(board) REFERENCES boards (id)
);
CREATE UNIQUE INDEX boards_name_on_rack ON boards (name) WHERE state = 'on rack';
CREATE INDEX boards_name ON boards (name);
CREATE INDEX boards_kind ON boards (state, species, quarters);
CREATE INDEX boards_parent ON boards (parent);
CREATE INDEX ix_change_boards_board ON change_boards (board);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('changes',5);
COMMIT;
