BEGIN TRANSACTION;
CREATE TABLE documents (
	run INTEGER NOT NULL, 
	path TEXT NOT NULL, 
	position INTEGER NOT NULL, 
	title TEXT NOT NULL, 
	audience TEXT NOT NULL, 
	job TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	content BLOB NOT NULL, 
	delivered INTEGER NOT NULL CHECK (delivered in (0, 1)), 
	PRIMARY KEY (run, path), 
	FOREIGN KEY(run) REFERENCES runs (id)
)
 STRICT

;
INSERT INTO "documents" VALUES(1,'invoices/h-101.pdf',0,'invoices/h-101.pdf','office','','382635c9325bf3273d195ff1b8a44e5b11afd7d97addeb8863ea35feb98c1a07',X'789C2B482C482D020006450219',0);
INSERT INTO "documents" VALUES(1,'run.json',1,'run.json','office','','44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a',X'789CABAE0500017500F9',0);
INSERT INTO "documents" VALUES(2,'invoices/h-101.pdf',0,'invoices/h-101.pdf','office','','382635c9325bf3273d195ff1b8a44e5b11afd7d97addeb8863ea35feb98c1a07',X'789C2B482C482D020006450219',0);
INSERT INTO "documents" VALUES(2,'run.json',1,'run.json','office','','44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a',X'789CABAE0500017500F9',0);
CREATE TABLE invoices (
	id INTEGER NOT NULL, 
	series TEXT NOT NULL, 
	year INTEGER NOT NULL, 
	number INTEGER NOT NULL CHECK (number > 0), 
	printed TEXT NOT NULL, 
	job TEXT NOT NULL, 
	run INTEGER NOT NULL, 
	issued TEXT NOT NULL, 
	net INTEGER NOT NULL, 
	tax INTEGER NOT NULL, 
	total INTEGER NOT NULL, 
	bill TEXT NOT NULL, 
	previous TEXT NOT NULL, 
	seal TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (series, year, number), 
	UNIQUE (series, job), 
	UNIQUE (printed), 
	FOREIGN KEY(job) REFERENCES jobs (job), 
	FOREIGN KEY(run) REFERENCES runs (id), 
	UNIQUE (seal)
)
 STRICT

;
INSERT INTO "invoices" VALUES(1,'invoice',2026,1,'2026-0001','H-101',1,'2026-11-30',7200,396,7596,'{"customer":"harbour-bakery","deposit":0,"job":"H-101","lines":[{"description":"tee white","line":0,"net":7200,"number":1,"quantity":6,"tax":"goods","unit_price":"1200"}],"net":7200,"pay_by":"2026-12-30","tax":396,"taxes":[{"amount":396,"base":7200,"percent":"11/200","reason":"","tax":"goods","title":"Sales tax 5.5 %"}],"terms":"30 days net","total":7596}','','6af6b3209311d133f19add695201a72f47543c3a73ef0319269d426703f75968');
INSERT INTO "invoices" VALUES(2,'invoice',2026,2,'2026-0002','H-102',1,'2026-11-30',7200,396,7596,'{"customer":"harbour-bakery","deposit":0,"job":"H-102","lines":[{"description":"tee white","line":0,"net":7200,"number":1,"quantity":6,"tax":"goods","unit_price":"1200"}],"net":7200,"pay_by":"2026-12-30","tax":396,"taxes":[{"amount":396,"base":7200,"percent":"11/200","reason":"","tax":"goods","title":"Sales tax 5.5 %"}],"terms":"30 days net","total":7596}','6af6b3209311d133f19add695201a72f47543c3a73ef0319269d426703f75968','10a8d798fcc55c4dde622ca7ee43599fdbe017873673b78d264ddfe64b9d0eba');
INSERT INTO "invoices" VALUES(3,'invoice',2026,3,'2026-0003','H-201',2,'2026-11-30',7200,396,7596,'{"customer":"harbour-bakery","deposit":0,"job":"H-201","lines":[{"description":"tee white","line":0,"net":7200,"number":1,"quantity":6,"tax":"goods","unit_price":"1200"}],"net":7200,"pay_by":"2026-12-30","tax":396,"taxes":[{"amount":396,"base":7200,"percent":"11/200","reason":"","tax":"goods","title":"Sales tax 5.5 %"}],"terms":"30 days net","total":7596}','10a8d798fcc55c4dde622ca7ee43599fdbe017873673b78d264ddfe64b9d0eba','396cf23bf76e0fdd07fa036938df74393c510821f5ac25abbdc84f120ebcd9eb');
CREATE TABLE jobs (
	job TEXT NOT NULL, 
	customer TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	file BLOB NOT NULL, 
	run INTEGER NOT NULL, 
	PRIMARY KEY (job), 
	FOREIGN KEY(run) REFERENCES runs (id)
)
 STRICT

;
INSERT INTO "jobs" VALUES('H-101','harbour-bakery','9ba9960013f68226d9ec260012ba84c15955b05952a0451a381e9e470d8969c2',X'6A6F623A20482D3130310A',1);
INSERT INTO "jobs" VALUES('H-102','harbour-bakery','d2b27c428f2cc4c6b0cb1848f3fbaa5b0178f718000045a1a0fec5ce9d5dc06b',X'6A6F623A20482D3130320A',1);
INSERT INTO "jobs" VALUES('H-201','harbour-bakery','0797f3a474ca687de86fcb24e5505918ef982a64b8f6cf569dbd75d1b60d1923',X'6A6F623A20482D3230310A',2);
CREATE TABLE lots (
	id INTEGER NOT NULL, 
	customer TEXT NOT NULL, 
	artwork TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	transfer TEXT NOT NULL, 
	copies INTEGER NOT NULL CHECK (copies >= 0), 
	use_by TEXT NOT NULL, 
	run INTEGER NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(run) REFERENCES runs (id)
)
 STRICT

;
INSERT INTO "lots" VALUES(1,'harbour-bakery','art/gull.svg','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',76200,76200,'full-colour',1,'2027-05-29',1);
INSERT INTO "lots" VALUES(2,'harbour-bakery','art/gull.svg','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',76200,76200,'full-colour',3,'2027-05-29',1);
CREATE TABLE movements (
	id INTEGER NOT NULL, 
	lot INTEGER NOT NULL, 
	run INTEGER NOT NULL, 
	copies INTEGER NOT NULL CHECK (copies <> 0), 
	demand TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(lot) REFERENCES lots (id), 
	FOREIGN KEY(run) REFERENCES runs (id)
)
 STRICT

;
INSERT INTO "movements" VALUES(1,1,1,3,'P01');
INSERT INTO "movements" VALUES(2,2,1,3,'P02');
INSERT INTO "movements" VALUES(3,1,2,-2,'P01');
CREATE TABLE purchases (
	id INTEGER NOT NULL, 
	year INTEGER NOT NULL, 
	number INTEGER NOT NULL CHECK (number > 0), 
	printed TEXT NOT NULL, 
	supplier TEXT NOT NULL, 
	run INTEGER NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (year, number), 
	UNIQUE (run, supplier), 
	UNIQUE (printed), 
	FOREIGN KEY(run) REFERENCES runs (id)
)
 STRICT

;
INSERT INTO "purchases" VALUES(1,2026,1,'P2026-001','north-pier-prints',1);
INSERT INTO "purchases" VALUES(2,2026,2,'P2026-002','mill-lane-blanks',1);
INSERT INTO "purchases" VALUES(3,2026,3,'P2026-003','north-pier-prints',2);
INSERT INTO "purchases" VALUES(4,2026,4,'P2026-004','mill-lane-blanks',2);
CREATE TABLE runs (
	id INTEGER NOT NULL, 
	label TEXT NOT NULL, 
	date TEXT NOT NULL, 
	start TEXT NOT NULL, 
	currency TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (label)
)
 STRICT

;
INSERT INTO "runs" VALUES(1,'2026-W49','2026-11-30','2026-12-03T08:00:00+00:00','USD');
INSERT INTO "runs" VALUES(2,'2026-W49-2','2026-11-30','2026-12-03T08:00:00+00:00','USD');
CREATE TABLE state (
	id INTEGER NOT NULL CHECK (id = 1), 
	schema INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	head TEXT NOT NULL, 
	PRIMARY KEY (id)
)
 STRICT

;
INSERT INTO "state" VALUES(1,1,2,'396cf23bf76e0fdd07fa036938df74393c510821f5ac25abbdc84f120ebcd9eb');
COMMIT;
