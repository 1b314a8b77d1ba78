// Passwords that are tried first everywhere; a small list from memory, of ten characters or more.

const words = `
password password1 password12 password123 password1234 password12345 passwordpassword
passw0rd passw0rd1 passw0rd123 p@ssw0rd p@ssw0rd1 p@ssw0rd123 p@ssword123 mypassword thepassword
newpassword changeme changeme1 changeme123 changemenow letmeinnow letmein123 letmein1234
welcome123 welcome1234 welcome2024 welcome2025 welcome2026 welcomehome admin12345 admin123456
administrator administrator1 rootroot123 superuser123 testtest123 testing123 test123456 demo123456
qwertyuiop qwertyuiop1 qwertyuiop123 qwerty12345 qwerty123456 qwertz12345 qwertzuiop azertyuiop
azerty12345 asdfghjkl1 asdfghjkl123 asdfasdfasdf 1qaz2wsx3edc 1q2w3e4r5t 1q2w3e4r5t6y q1w2e3r4t5
zaq12wsxcde3 1234qwerasdf qazwsxedcrfv abcd123456 abc1234567 abcdef1234 a123456789 aa12345678
1234567890 12345678910 123456789a 123456789q 0123456789 9876543210 0987654321 1122334455
123123123123 1231231234 1234512345 1029384756 iloveyou12 iloveyou123 iloveyou1234 iloveyouforever
sunshine12 sunshine123 princess12 princess123 football12 football123 baseball12 baseball123
superman12 superman123 batman12345 starwars123 monkey12345 dragon12345 master12345 shadow12345
michael123 charlie123 jennifer123 jordan12345 whatever12 whatever123 trustno1234 secret12345
internet12 internet123 computer12 computer123 samsung123 liverpool123 summer2024 summer2025
summer2026 winter2024 winter2025 winter2026 spring2025 spring2026 autumn2025 autumn2026
contraseña contrasena contraseña1 contraseña123 contrasena123 bienvenido123 motdepasse motdepasse1
motdepasse123 passwort123 passwort1234 kennwort123 hallo12345 willkommen1 willkommen123 senha12345
vineyard123 grapevine123 grapevines1 nursery123 nursery1234 budwood123 canemark12 canemark123
canemark1234 canemarkcanemark correcthorsebatterystaple
`

/** Each in lower case. */
export const commonPasswords: ReadonlySet<string> = new Set(words.trim().split(/\s+/))
